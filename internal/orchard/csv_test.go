package orchard

import (
	"fmt"
	"strings"
	"testing"
)

func TestPhotosCSVGoesOnAfterBadRows(t *testing.T) {
	text := byteOrderMark + strings.ReplaceAll(`# a note
photo,Block, ROW ,tree,kind,weather

a.jpg,b1,1,1,floor
b.jpg,b9,1,1,floor
"c.jpg,b1,1,1,floor
d.jpg,b1,x,1,floor
e.jpg,b1,1,1,flat
,b1,1,1,floor
,,,,
# f.jpg,b1,1,1,floor
g.jpg,B1,r02,t6,Side
h.jpg
`, "\n", "\r\n")
	rows, problems := ParsePhotosCSV("photos.csv", []byte(text), smallOrchard(t))
	if len(rows) != 2 || rows[0].Photo != "a.jpg" || rows[1].Tree != (TreeID{"b1", 2, 6}) || rows[1].Kind != Side || rows[1].Line != 12 {
		t.Errorf("rows %+v", rows)
	}
	said := problems.Error()
	for _, want := range []string{
		`photos.csv:2: column "weather" is not known`, `photos.csv:5: orchard.toml has no block "b9"`, "photos.csv:6: the quotation marks",
		`photos.csv:7: row is "x"`, `photos.csv:8: kind is "flat"`, "photos.csv:9: photo is empty", `photos.csv:13: row is ""`,
	} {
		if !strings.Contains(said, want) {
			t.Errorf("it is not said: %s", want)
		}
	}
	if len(problems) != 7 {
		t.Errorf("%d problems:\n%s", len(problems), said)
	}
}

func TestSheetsThatCannotBeUsed(t *testing.T) {
	o := smallOrchard(t)
	for text, say := range map[string]string{
		"photo,block,row,tree\na,b1,1,1":           `column "kind" is missing`,
		"photo,block,row,tree,kind,kind\na,b1,1,1": `column "kind" stands twice`,
		"\xff\xfep\x00h\x00":                       "is not in UTF-8",
		"photo,blok,row,tree,kind":                 "did you mean block?",
	} {
		if _, problems := ParsePhotosCSV("photos.csv", []byte(text), o); !strings.Contains(problems.Error(), say) {
			t.Errorf("%q: %v, want %q", text, problems, say)
		}
	}
	for _, text := range []string{"", "\n\n", "# only a note"} {
		if rows, problems := ParsePhotosCSV("photos.csv", []byte(text), o); len(rows)+len(problems) > 0 {
			t.Errorf("%q gives %v %v", text, rows, problems)
		}
	}
}

func TestMeasured(t *testing.T) {
	const text = `block;row;tree;visit;quantity;value_m;uncertainty_m;note
b1;1;1;2026-03-14;clear_alley;1,85;0,05;too narrow; really
b1;1;1;2026-03-14;width;3;;
b1;1;1;2026-03-14;Height;0.15;;
b1;1;1;2026-03-14;width;4;;
b1;1;2;2026/03;width;4;;
b1;1;2;2026-03-14;girth;4;;
b1;1;2;2026-03-14;width;400;;
b1;1;2;2026-03-14;width;;;
b1;1;2;2026-03-14;width;3;-1;
b1;1;2;2026-03-14;width;NaN;;
`
	tapes, problems := ParseMeasured("measured.csv", []byte(text), smallOrchard(t))
	var got []string
	for _, x := range tapes {
		m := x.Measurement
		got = append(got, fmt.Sprintf("%s %s %s %.2f %.2f %.2f %s", x.Tree, x.Visit, m.Quantity, *m.Value, *m.Low95, *m.High95, m.Method))
	}
	// Value less and plus half the interval: 0.05 as given, 0.10 and 0.20 the
	// defaults; never below 0.
	want := []string{
		"b1-r01-t01 2026-03-14 clear_width_m 1.85 1.80 1.90 tape",
		"b1-r01-t01 2026-03-14 crown_width_m 3.00 2.90 3.10 tape",
		"b1-r01-t01 2026-03-14 height_m 0.15 0.00 0.35 tape",
	}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("got\n%s", strings.Join(got, "\n"))
	}
	if len(problems) != 7 {
		t.Fatalf("%d problems, want 7:\n%v", len(problems), problems)
	}
	for i, say := range []string{"stands on line 3 already", `visit is "2026/03"`, `quantity is "girth"`, `value_m is "400"`, `value_m is ""`, `uncertainty_m is "-1"`, `value_m is "NaN"`} {
		if p := problems[i]; p.Line != i+5 || !strings.Contains(p.What, say) || p.Mend == "" {
			t.Errorf("problem %+v, want line %d %q", p, i+5, say)
		}
	}
}

// Noise in place of a sheet is told in a bounded number of lines; sound rows behind
// it count all the same.
func TestNoiseIsToldBriefly(t *testing.T) {
	text := "photo,block,row,tree,kind\n" + strings.Repeat("x\n", 50000) + "a.jpg,b1,1,1,floor\n"
	rows, problems := ParsePhotosCSV(PhotosFile, []byte(text), smallOrchard(t))
	if len(rows) != 1 || rows[0].Line != 50002 {
		t.Errorf("rows %+v", rows)
	}
	if n := len(problems); n != maxSheetProblems+1 || !strings.Contains(problems[n-1].What, "more is wrong") || problems[0].Line != 2 {
		t.Errorf("%d problems, the last %v", n, problems[n-1])
	}
}
