package orchard

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
)

// small is an orchard file with two blocks, for the tests of this package.
const small = `name = "Test"
[place]
latitude_deg = 45
longitude_deg = 10
time_zone = "Europe/Rome"
[[blocks]]
key = "b1"
rows = 3
trees_per_row = [12, 12, 10]
row_spacing_m = 9
tree_spacing_m = 6
row_direction_deg = 0
first_tree_latitude_deg = 45
first_tree_longitude_deg = 10
missing = ["r02-t05"]
[[blocks]]
key = "North-2"
habit = "open"
rows = [7, 9]
trees_per_row = 4
row_spacing_m = 5
tree_spacing_m = 4
row_direction_deg = 90
`

func smallOrchard(t testing.TB) *Orchard {
	t.Helper()
	o, err := Parse(FileName, []byte(small))
	if err != nil {
		t.Fatal(err)
	}
	return o
}

func TestTemplateParses(t *testing.T) {
	o, err := Parse(FileName, []byte(Template()))
	if err != nil {
		t.Fatal(err)
	}
	// What the template writes out is what is taken where it is left out.
	if o.Crop.Targets != DefaultTargets() || o.Weights != DefaultWeights() || o.Cards.MaxGap != DefaultCardGap {
		t.Errorf("the template's values differ from the defaults: %+v %+v", o.Crop.Targets, o.Weights)
	}
	if n := len(o.Trees()); n != 6*12-1+10+10+9+8 { // one is missing
		t.Errorf("the template has %d trees", n)
	}
	bare := smallOrchard(t)
	if bare.Crop.Targets != DefaultTargets() || bare.Weights != DefaultWeights() || bare.Board != o.Board {
		t.Errorf("defaults left out come as %+v %+v %+v", bare.Crop.Targets, bare.Weights, bare.Board)
	}
}

// TestRefusals breaks one line of a sound file at a time; the message must name
// that line and the mend.
func TestRefusals(t *testing.T) {
	for _, c := range []struct{ old, new, say string }{
		{`latitude_deg = 45`, `latitude_deg = 95`, "latitude_deg is 95: give degrees from -90 to 90"},
		{`latitude_deg = 45`, `latitude_deg = nan`, "latitude_deg is NaN"},
		{`latitude_deg = 45`, `latitude_deg = "45"`, `latitude_deg is the text "45": give degrees`},
		{`latitude_deg = 45`, `latitude = 45`, "did you mean latitude_deg?"},
		{`longitude_deg = 10`, `longitude_deg = -170`, "check its sign"},
		{`"Europe/Rome"`, `"Europe/Atlantis"`, `time_zone "Europe/Atlantis" is not known`},
		{`"Europe/Rome"`, `"Local"`, `time_zone "Local" is not known`},
		{`rows = 3`, `rows = 0`, "rows is 0: give how many rows"},
		{`rows = 3`, `rows = 2.5`, "rows is the number 2.5"},
		{`rows = 3`, `rows = 4`, "trees_per_row lists 3 numbers for 4 rows"},
		{`rows = 3`, `rows = 60000000`, "rows is 60000000"},
		{`rows = [7, 9]`, `rows = [7, 7]`, "row 7 is listed twice"},
		{`row_spacing_m = 9`, `row_spacing_m = -9`, "row_spacing_m is -9: give metres"},
		{`row_spacing_m = 9`, `row_spacing = 9`, "did you mean row_spacing_m?"},
		{`row_direction_deg = 0`, `row_direction_deg = 400`, "row_direction_deg is 400: give the compass bearing"},
		{`key = "North-2"`, `key = "B1"`, `block "B1" is there already on line 7`},
		{`key = "North-2"`, `key = "a/b"`, `key "a/b" cannot stand in a file name`},
		{`key = "North-2"`, `key = ""`, `key "" cannot stand in a file name`},
		{`habit = "open"`, `habit = "lazy"`, `give "vigorous" or "open"`},
		{`first_tree_longitude_deg = 10`, ``, "only one of"},
		{`["r02-t05"]`, `["r02-t13"]`, `missing has "r02-t13", where block b1 has no tree place`},
		{`["r02-t05"]`, `["5"]`, `missing has the text "5": give a list`},
		{`name = "Test"`, `name = "Test`, "mend this line"},
		{`name = "Test"`, `weights = {floor=0, height=0, alley=0, shape=0}` + "\n", "all weights are 0"},
		{`name = "Test"`, `name = "Test"` + "\nname = \"Twice\"", "name"},
		{`name = "Test"`, `name = "Test"` + "\nboard = 3", "board is the number 3: give a table, [board]"},
		{`name = "Test"`, `name = "Test"` + "\ncards = {side_boards = [25]}", "side_boards has 25: give a list of board numbers"},
		{`name = "Test"`, `name = "Test"` + "\ncards = {side_boards = 2}", "side_boards is the number 2"},
		{`name = "Test"`, `name = "Test"` + "\ncards = {side_boards = [1, 2], alley_boards = [2]}", "board 2 is in side_boards and in alley_boards"},
		{`name = "Test"`, `name = "Test"` + "\ntargets = {yearly_removal_low_fraction = 0.4}", "is above yearly_removal_high_fraction"},
	} {
		before, _, found := strings.Cut(small, c.old)
		if !found {
			t.Fatalf("%q is not in the file", c.old)
		}
		line := 1 + strings.Count(before, "\n")
		_, err := Parse(FileName, []byte(strings.Replace(small, c.old, c.new, 1)))
		if err == nil {
			t.Errorf("%s was taken", c.new)
			continue
		}
		if !strings.Contains(err.Error(), c.say) {
			t.Errorf("%s:\n%v\nwant it to say %q", c.new, err, c.say)
		}
		var ps Problems
		if !errors.As(err, &ps) || len(ps) == 0 {
			t.Fatalf("%s: %T, want Problems", c.new, err)
		}
		// A value is refused on its line; a list of keys lacking one, on its table's;
		// what a neighbour causes may stand a line or two on.
		if p := ps[0]; p.Mend == "" || p.File != FileName || p.Line == 0 || (c.new != "" && (p.Line < line-6 || p.Line > line+2)) {
			t.Errorf("%s: problem %+v, want line %d and a mend", c.new, p, line)
		}
	}
}

func TestLineIsExact(t *testing.T) {
	_, err := Parse("my.toml", []byte(strings.Replace(small, "row_spacing_m = 5", "row_spacing_m = 500", 1)))
	const want = "my.toml:21: row_spacing_m is 500: give metres between 0.3 and 50"
	if err == nil || err.Error() != want {
		t.Errorf("got %v\nwant %s", err, want)
	}
}

func TestEveryProblemAtOnce(t *testing.T) {
	bad := strings.NewReplacer("latitude_deg = 45\nlong", "latitude_deg = 99\nlong", "tree_spacing_m = 6", "tree_spacing_m = 'x'", "rows = [7, 9]", "rows = []").Replace(small)
	_, err := Parse(FileName, []byte(bad))
	var ps Problems
	if !errors.As(err, &ps) {
		t.Fatalf("error %v, want Problems", err)
	}
	var lines []int
	for _, p := range ps {
		lines = append(lines, p.Line)
	}
	if !slices.Equal(lines, []int{3, 11, 19}) {
		t.Errorf("problems on lines %v, want 3, 11, 19:\n%v", lines, err)
	}
}

func TestLoadWithoutFile(t *testing.T) {
	dir := t.TempDir()
	if _, err := Load(dir); err == nil || !strings.Contains(err.Error(), "rowlight init") || !strings.Contains(err.Error(), dir) {
		t.Errorf("error %v, want one that names the folder and rowlight init", err)
	}
}

func TestByteOrderMarkAndCRLF(t *testing.T) {
	text := byteOrderMark + strings.ReplaceAll(small, "\n", "\r\n")
	if _, err := Parse(FileName, []byte(text)); err != nil {
		t.Error(err)
	}
}

func TestSettingsHash(t *testing.T) {
	hash := func(old, new string) (all, b1, b2 string) {
		o, err := Parse(FileName, []byte(strings.Replace(small, old, new, 1)))
		if err != nil {
			t.Fatal(err)
		}
		return o.SettingsHash(), o.ShotHash(&TreeID{"b1", 1, 1}, Side), o.ShotHash(&TreeID{"North-2", 7, 1}, Side)
	}
	all, b1, b2 := hash("", "")
	for _, c := range []struct {
		old, new      string
		all, one, two bool // whether it changes
	}{
		{`name = "Test"`, `name = "Other"`, false, false, false},
		{`[place]`, "[weights]\nfloor = 1\n[targets]\nclear_alley_m = 3\n[place]", false, false, false},
		{`latitude_deg = 45`, `latitude_deg = 44`, true, true, true},
		{`[place]`, "[board]\nruler_bar_mm = 99\n[place]", true, true, true},
		{`row_spacing_m = 9`, `row_spacing_m = 8`, true, true, false},
		{`row_direction_deg = 90`, `row_direction_deg = 91`, true, false, true},
	} {
		a, x, y := hash(c.old, c.new)
		if got := [3]bool{a != all, x != b1, y != b2}; got != [3]bool{c.all, c.one, c.two} {
			t.Errorf("%s: changes all, b1, b2: %v", c.new, got)
		}
	}
	o := smallOrchard(t)
	if o.ShotHash(&TreeID{"b1", 1, 1}, Side) == o.ShotHash(&TreeID{"b1", 1, 1}, Floor) || o.ShotHash(nil, "") == b1 {
		t.Error("kind and tree do not change a shot's hash")
	}
}

func TestHeightLimit(t *testing.T) {
	// By hand from the rule: lowest of 5, 0.8 x row spacing, 2 x clear alley.
	for _, c := range []struct {
		spacing, alley, limit float64
		rule                  string
	}{
		{9, 2.5, 5, "the height limit"}, {6, 2.5, 4.8, "row spacing"}, {9, 2, 4, "clear alley"}, {0, 2.5, 5, "the height limit"},
	} {
		x := DefaultTargets()
		x.ClearAlleyM = c.alley
		limit, rule := x.HeightLimit(c.spacing)
		if fmt.Sprintf("%.9f %s", limit, rule) != fmt.Sprintf("%.9f %s", c.limit, c.rule) {
			t.Errorf("rows %g alley %g: %g by %s, want %g by %s", c.spacing, c.alley, limit, rule, c.limit, c.rule)
		}
	}
}

func TestInitNeverOverwrites(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "new")
	made, kept, err := Init(dir)
	if err != nil || len(made) != 4 || len(kept) != 0 {
		t.Fatalf("made %v kept %v: %v", made, kept, err)
	}
	o, err := Load(dir)
	if err != nil {
		t.Fatal(err)
	}
	if rows, ps, err := LoadPhotosCSV(dir, o); len(rows)+len(ps) > 0 || err != nil {
		t.Errorf("the empty photos.csv gives %v %v %v", rows, ps, err)
	}
	if rows, ps, err := LoadMeasured(dir, o); len(rows)+len(ps) > 0 || err != nil {
		t.Errorf("the empty measured.csv gives %v %v %v", rows, ps, err)
	}
	if err := os.WriteFile(filepath.Join(dir, FileName), []byte(small), 0o644); err != nil {
		t.Fatal(err)
	}
	made, kept, err = Init(dir)
	if err != nil || len(made) != 0 || len(kept) != 4 {
		t.Fatalf("again: made %v kept %v: %v", made, kept, err)
	}
	if got, _ := os.ReadFile(filepath.Join(dir, FileName)); string(got) != small {
		t.Error("a file that was there was overwritten")
	}
}

// A small file cannot fill the memory: neither a key of very many parts nor very many
// blocks costs more than what the text itself does.
func TestSmallFileCannotFillTheMemory(t *testing.T) {
	const most = 150 << 20 // a thousand times the text, and no square of it
	for name, text := range map[string]string{
		"a key of 60000 parts":   strings.Repeat("a.", 60000) + "a = 1",
		"a table of 60000 parts": "[" + strings.Repeat("a.", 60000) + "a]",
		"10000 blocks":           strings.Repeat("[[blocks]]\n", 10000),
		"nested lists":           "a = " + strings.Repeat("[", 120000),
		"nested tables":          "a = " + strings.Repeat("{a=", 40000),
	} {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		_, err := Parse(FileName, []byte(text))
		runtime.ReadMemStats(&after)
		if took := after.TotalAlloc - before.TotalAlloc; err == nil || took > most {
			t.Errorf("%s: took %d MiB, error %.100v", name, took>>20, err)
		}
	}
}
