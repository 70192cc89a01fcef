package orchard

import (
	"fmt"
	"path"
	"regexp"
	"strconv"
	"strings"
	"unicode"
)

// placeByName places a photo whose name begins with a tree: b1-r03-t11-floor-2.jpg,
// in any case, with - or _ between. A name that means a tree but no tree of this
// orchard, or has a word in the kind's place that is none, is unplaced: a card
// must not overrule what someone wrote. It returns false for a name that means no
// tree.
func (o *Orchard) placeByName(p *Placement, s Seen) bool {
	base := path.Base(s.Path)
	t, tail, ok := treeOfName(strings.TrimSuffix(base, path.Ext(base)))
	if !ok || oddWord(tail) == cardWord {
		return false
	}
	t, why := o.Resolve(t)
	if why != "" {
		p.unplaced("its name means no tree of this orchard: "+why, fmt.Sprintf("rename it, or add a row for it to %s", PhotosFile))
		return true
	}
	kind := kindWord(tail)
	if word := oddWord(tail); kind == "" && word != "" {
		p.unplaced(fmt.Sprintf("its name says %q where the kind stands", word), fmt.Sprintf("name it as %s-floor%s; the kinds are floor, side, alley and up", t, path.Ext(base)))
		return true
	}
	p.at(t, kind, ByName, s)
	return true
}

// cardWord in the kind's place names the photo of a card: b1-r03-t11-card.jpg.
const cardWord = "card"

// withNamedCard takes the tree of a photo named as a card's for the card in it,
// where none could be read. Without a capture time it would name no other photo.
func withNamedCard(s Seen) Seen {
	base := path.Base(s.Path)
	t, tail, ok := treeOfName(strings.TrimSuffix(base, path.Ext(base)))
	if ok && oddWord(tail) == cardWord && s.CardTree == nil && s.CardProblem == "" && s.TakenAt != nil {
		s.CardTree = &t
	}
	return s
}

// treeOfName reads the tree at the beginning of a name without its ending; tail is
// what follows.
func treeOfName(name string) (t TreeID, tail string, ok bool) {
	form := regexp.MustCompile(`(?i)^(` + keyForm + `)[-_]r(\d{1,4})[-_]t(\d{1,4})((?:[^0-9].*)?)$`)
	m := form.FindStringSubmatch(name)
	if m == nil {
		return t, "", false
	}
	row, _ := strconv.Atoi(m[2]) // four digits always convert
	n, _ := strconv.Atoi(m[3])
	return TreeID{Block: m[1], Row: row, Tree: n}, m[4], true
}

// words splits a name into its runs of letters, small.
func words(name string) []string {
	return strings.FieldsFunc(strings.ToLower(name), func(r rune) bool { return !unicode.IsLetter(r) })
}

// kindWord returns the kind that stands as a word in a name; "" for none, or for
// two that differ. Floor and alley together mean the alley's floor; beside another
// kind "up" is no kind: floor-close-up.
func kindWord(name string) Kind {
	said := map[Kind]bool{}
	for _, w := range words(name) {
		if k := ParseKind(w); k != "" {
			said[k] = true
		}
	}
	if len(said) > 1 {
		delete(said, Up)
	}
	if len(said) == 2 && said[Floor] && said[Alley] {
		return AlleyFloor
	}
	if len(said) != 1 {
		return ""
	}
	for k := range said {
		return k
	}
	return ""
}

// sideWord returns left or right where exactly one of them stands as a word in a
// name: b1-r03-t11-alley-left.jpg. They are as seen along the row from its tree 1.
func sideWord(name string) string {
	side := ""
	for _, w := range words(name) {
		if w != "left" && w != "right" || w == side {
			continue
		}
		if side != "" {
			return ""
		}
		side = w
	}
	return side
}

// fromWord returns left or right where a side photo's name says from which alley it
// was taken: b1-r03-t11-side-from-left.jpg. A bare left or right says nothing there:
// it may count the photos of a pair.
func fromWord(name string) string {
	all := words(name)
	for i, w := range all[:max(len(all)-1, 0)] {
		if next := all[i+1]; w == "from" && (next == "left" || next == "right") {
			return next
		}
	}
	return ""
}

// oddWord returns the first word of a name's tail, "" for none.
func oddWord(tail string) string {
	if w := words(tail); len(w) > 0 {
		return w[0]
	}
	return ""
}
