package orchard

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
)

func readBlocks(t *table) []Block {
	subs := t.subs("blocks")
	if len(subs) == 0 {
		t.refuse("blocks", "there is no block", "add a [[blocks]] for each planting, with key, rows, trees_per_row and the spacings")
	}
	if len(subs) > maxBlocks {
		t.refuse("blocks", fmt.Sprintf("there are %d blocks", len(subs)), fmt.Sprintf("an orchard file may have %d: split the orchard", maxBlocks))
		return nil
	}
	var blocks []Block
	first := map[string]string{} // by folded key, its path
	trees := 0
	for _, s := range subs {
		b := readBlock(s)
		fold := foldKey(b.Key)
		if other, taken := first[fold]; taken && fold != "" {
			s.refuse("key", fmt.Sprintf("block %q is there already on line %d", b.Key, s.doc.lines[other]), "give each block its own key; capitals, - and _ do not tell two apart")
		}
		first[fold] = joinKey(s.path, "key")
		for _, n := range b.RowTrees {
			trees += n
		}
		blocks = append(blocks, b)
	}
	if trees > maxTrees {
		t.refuse("blocks", fmt.Sprintf("the blocks have %d trees", trees), fmt.Sprintf("an orchard file may have %d: check rows and trees_per_row, or split the orchard", maxTrees))
	}
	return blocks
}

// A block's spacings lie between these: nursery stock and avenue trees are outside.
const (
	minSpacingM = 0.3
	maxSpacingM = 50
)

func readBlock(t *table) Block {
	spacing := span{minSpacingM, maxSpacingM, fmt.Sprintf("metres between %g and %d", minSpacingM, maxSpacingM)}
	b := Block{
		Key:             readKey(t),
		Habit:           readHabit(t),
		Cultivar:        t.text("cultivar", ""),
		Rows:            readRows(t),
		RowSpacingM:     t.number("row_spacing_m", math.NaN(), spacing),
		TreeSpacingM:    t.number("tree_spacing_m", math.NaN(), spacing),
		RowDirectionDeg: t.number("row_direction_deg", math.NaN(), span{0, 360, "the compass bearing along a row from tree 1, true north, 0 to 360"}),
		NextRowLeft:     t.flag("next_row_left"),
	}
	b.Name = t.text("name", b.Key)
	b.RowTrees = readRowTrees(t, b.Rows)
	b.FirstTree = readFirstTree(t)
	b.Missing = readMissing(t, &b)
	b.HarvestEnds = readYearDay(t, "harvest_ends")
	b.FloweringBegins = readYearDay(t, "flowering_begins")
	t.done()
	return b
}

func readKey(t *table) string {
	const mend = "give a short key of letters and digits, as \"b1\"; - and _ may stand between"
	if t.of["key"] == nil {
		t.known = append(t.known, "key")
		t.refuse("key", "a block has no key", mend)
		return ""
	}
	key := t.text("key", "")
	if _, isText := t.of["key"].(string); isText && (!keyPattern().MatchString(key) || len(key) > maxKeyLen) {
		t.refuse("key", fmt.Sprintf("key %q cannot stand in a file name", key), mend)
	}
	return key
}

func readHabit(t *table) Habit {
	h := Habit(t.text("habit", string(Vigorous)))
	if h != Vigorous && h != Open {
		t.refuse("habit", fmt.Sprintf("habit %q is not known", h), `give "vigorous" or "open"`)
	}
	return h
}

// readRows reads rows: how many, or a list of their numbers in walking order.
func readRows(t *table) []int {
	mend := fmt.Sprintf("how many rows there are, 1 to %d, or a list of their numbers, as [4, 5, 6]", maxRows)
	if list, ok := t.of["rows"].([]any); ok {
		t.known = append(t.known, "rows")
		rows := t.wholes("rows", list, 1, maxRowNumber, mend)
		if len(rows) == 0 || len(rows) > maxRows {
			t.refuse("rows", fmt.Sprintf("rows lists %d rows", len(rows)), "give "+mend)
			return nil
		}
		if n, twice := repeated(rows); twice {
			t.refuse("rows", fmt.Sprintf("row %d is listed twice", n), "list each row once")
		}
		return rows
	}
	n := t.whole("rows", 1, maxRows, mend)
	rows := make([]int, n)
	for i := range rows {
		rows[i] = i + 1
	}
	return rows
}

// maxRowNumber is the highest number a row may carry.
const maxRowNumber = 9999

func repeated(list []int) (int, bool) {
	seen := map[int]bool{}
	for _, n := range list {
		if seen[n] {
			return n, true
		}
		seen[n] = true
	}
	return 0, false
}

// readRowTrees reads trees_per_row: one number for all rows, or one for each.
func readRowTrees(t *table, rows []int) []int {
	mend := fmt.Sprintf("trees a row, 1 to %d, or a list with a number for each row", maxRowTrees)
	if list, ok := t.of["trees_per_row"].([]any); ok {
		t.known = append(t.known, "trees_per_row")
		per := t.wholes("trees_per_row", list, 1, maxRowTrees, mend)
		if len(per) == len(list) && len(per) != len(rows) && len(rows) > 0 {
			t.refuse("trees_per_row", fmt.Sprintf("trees_per_row lists %d numbers for %d rows", len(per), len(rows)), "give one number for each row, or one for all")
		}
		return per[:min(len(per), len(rows))]
	}
	n := t.whole("trees_per_row", 1, maxRowTrees, mend)
	per := make([]int, len(rows))
	for i := range per {
		per[i] = n
	}
	return per
}

// whole reads a whole number that must be there; 0 after a problem.
func (t *table) whole(key string, low, high int, mend string) int {
	switch v := t.get(key).(type) {
	case nil:
		t.refuse(key, key+" is not given", "add "+key+", "+mend)
	case int64:
		if v >= int64(low) && v <= int64(high) {
			return int(v)
		}
		t.refuse(key, fmt.Sprintf("%s is %d", key, v), "give "+mend)
	default:
		t.wrongType(key, v, mend)
	}
	return 0
}

// wholes reads a list of whole numbers and leaves out those it refuses.
func (t *table) wholes(key string, list []any, low, high int, mend string) []int {
	var ns []int
	for _, v := range list {
		n, ok := v.(int64)
		switch {
		case !ok:
			t.wrongType(key, v, mend)
			return ns
		case n < int64(low) || n > int64(high):
			t.refuse(key, fmt.Sprintf("%s has %d", key, n), "give "+mend)
			return ns
		}
		ns = append(ns, int(n))
	}
	return ns
}

// maxOriginLatDeg keeps first trees off the poles, where east has no meaning.
const maxOriginLatDeg = 89

func readFirstTree(t *table) *LatLon {
	const lat, lon = "first_tree_latitude_deg", "first_tree_longitude_deg"
	la := t.maybe(lat, span{-maxOriginLatDeg, maxOriginLatDeg, "degrees from -89 to 89, south negative"})
	lo := t.maybe(lon, span{-180, 180, "degrees from -180 to 180, west negative"})
	if (la == nil) != (lo == nil) {
		t.refuse("", "a block's first tree has only one of "+lat+" and "+lon, "give both, or neither")
		return nil
	}
	if la == nil {
		return nil
	}
	return &LatLon{*la, *lo}
}

// readMissing reads the places where no tree stands: ["r02-t05"].
func readMissing(t *table, b *Block) []TreeID {
	const mend = `give a list of row and tree, as ["r02-t05", "r03-t01"]`
	v := t.get("missing")
	if v == nil {
		return nil
	}
	list, ok := v.([]any)
	if !ok {
		t.wrongType("missing", v, mend[len("give "):])
		return nil
	}
	form := regexp.MustCompile(`^[rR](\d{1,4})-[tT](\d{1,4})$`)
	var gone []TreeID
	for _, e := range list {
		s, _ := e.(string)
		m := form.FindStringSubmatch(s)
		if m == nil {
			t.refuse("missing", fmt.Sprintf("missing has %s", typeWords(e)), mend)
			continue
		}
		row, _ := strconv.Atoi(m[1]) // four digits always convert
		n, _ := strconv.Atoi(m[2])
		if n < 1 || len(b.RowTrees) != len(b.Rows) || n > b.TreePlaces(row) {
			t.refuse("missing", fmt.Sprintf("missing has %q, where block %s has no tree place", s, b.Key), "check the row and tree numbers, and trees_per_row")
			continue
		}
		gone = append(gone, TreeID{b.Key, row, n})
	}
	return gone
}
