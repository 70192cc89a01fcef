package orchard

import (
	"encoding/csv"
	"errors"
	"reflect"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"
)

// namesLines is the promise of every reader of what a person wrote: a problem names
// the file, what is wrong and the mend, on one line, and a line of the file unless
// the whole is meant.
func namesLines(t *testing.T, file, text string, ps Problems) {
	t.Helper()
	last := 1 + strings.Count(text, "\n") + strings.Count(text, "\r")
	for _, p := range ps {
		if p.File != file || p.What == "" || p.Mend == "" || p.Line < 0 || p.Line > last || strings.ContainsAny(p.Error(), "\r\n") {
			t.Errorf("of %d lines: %+v", last, p)
		}
	}
}

// FuzzParse: no text makes Parse panic; what it takes is sound and can be printed,
// what it refuses names its line and the mend.
func FuzzParse(f *testing.F) {
	f.Add(small)
	f.Add(Template())
	f.Add("name=1\n[[blocks]]\nrows=[1,{a=2}]\n[blocks.x]\n[[blocks.y]]\n\"a.b[0]\".c = 1979-05-27")
	f.Add("blocks = [{key='a', missing=['r1-t1']}, 3]\n")
	f.Fuzz(func(t *testing.T, text string) {
		o, err := Parse(FileName, []byte(text))
		if err != nil {
			var ps Problems
			if !errors.As(err, &ps) {
				t.Fatalf("%T", err)
			}
			namesLines(t, FileName, text, ps)
			for _, p := range ps {
				if p.Line == 0 {
					t.Errorf("no line: %+v", p)
				}
			}
			return
		}
		if o.Place.Zone == nil || len(o.Blocks) == 0 || o.Weights.Sum() <= 0 || o.SettingsHash() == "" {
			t.Errorf("unsound: %+v", o)
		}
		for _, b := range o.Blocks {
			for _, s := range []string{o.Name, o.Crop.Name, b.Key, b.Name, b.Cultivar} {
				if !utf8.ValidString(s) || strings.ContainsFunc(s, unicode.IsControl) || len(s) > maxTextLen {
					t.Errorf("took %q", s)
				}
			}
		}
		for _, tree := range o.Trees() {
			if !o.Has(tree) {
				t.Fatalf("%v is listed and not there", tree)
			}
			if err := tree.check(); err != nil {
				t.Fatal(err) // results could not be read back
			}
		}
	})
}

// FuzzParseCard: a card that is read has the text its tree's card has.
func FuzzParseCard(f *testing.F) {
	f.Add(CardText(TreeID{"b1", 3, 11}))
	f.Add("ROWLIGHT2:X")
	f.Add("ROWLIGHT1::::")
	f.Fuzz(func(t *testing.T, text string) {
		id, err := ParseCard(text)
		if err == nil && CardText(id) != text {
			t.Errorf("%q reads as %v, whose card is %q", text, id, CardText(id))
		}
	})
}

// FuzzSheets: no text makes a sheet panic, and every row taken is of a tree that
// stands.
func FuzzSheets(f *testing.F) {
	f.Add("photo,block,row,tree,kind\na.jpg,b1,1,1,floor\n")
	f.Add("block;row;tree;visit;quantity;value_m;uncertainty_m\nb1;1;1;v1;width;3,2;\n")
	f.Add("photo\tblock\trow\ttree\tkind\n\"a\tb1\r\"\"")
	o := smallOrchard(f)
	f.Fuzz(func(t *testing.T, text string) {
		rows, problems := ParsePhotosCSV(PhotosFile, []byte(text), o)
		for _, a := range rows {
			if !o.Has(a.Tree) || a.Photo == "" || a.Line < 1 {
				t.Errorf("%+v", a)
			}
		}
		namesLines(t, PhotosFile, text, problems)
		tapes, problems := ParseMeasured(MeasuredFile, []byte(text), o)
		namesLines(t, MeasuredFile, text, problems)
		for _, x := range tapes {
			if m := x.Measurement; !o.Has(x.Tree) || !(*m.Low95 >= 0 && *m.Low95 <= *m.Value && *m.Value <= *m.High95) {
				t.Errorf("%+v", x)
			}
		}
		if n := 1 + strings.Count(text, "\n") + strings.Count(text, "\r"); len(rows)+len(tapes) > 2*n || len(problems) > 20*n {
			t.Errorf("%d rows, %d tapes of %d lines", len(rows), len(tapes), n)
		}
	})
}

// FuzzCardText: the card of every tree that an orchard file can have reads as that
// tree, its block in small letters.
func FuzzCardText(f *testing.F) {
	f.Add("b1", 3, 11)
	f.Add("A-1_z", 9999, 1)
	f.Fuzz(func(t *testing.T, block string, row, tree int) {
		id := TreeID{block, row, tree}
		if id.check() != nil {
			t.Skip("no tree")
		}
		got, err := ParseCard(CardText(id))
		if want := (TreeID{strings.ToLower(block), row, tree}); err != nil || got != want {
			t.Errorf("%v reads as %v, %v", id, got, err)
		}
	})
}

// FuzzSheetKeepsNames: a photo's name and a note, written as a cell of ours into
// photos.csv and marks.csv, read as they were, whatever parts the columns.
func FuzzSheetKeepsNames(f *testing.F) {
	for _, s := range []string{"IMG_0001.jpg", "=HYPERLINK(\"x\");=1.jpg", "'=1", "+1", "@SUM(A1)", "a;b,c", "#no note", "\u202e"} {
		f.Add(s, false)
		f.Add(s, true)
	}
	o := smallOrchard(f)
	f.Fuzz(func(t *testing.T, name string, semicolons bool) {
		if name = strings.TrimSpace(name); name == "" || !utf8.ValidString(name) || strings.ContainsFunc(name, unicode.IsControl) {
			t.Skip("cannot stand on a line")
		}
		sheet := func(rows ...[]string) []byte {
			var b strings.Builder
			w := csv.NewWriter(&b)
			if semicolons {
				w.Comma = ';'
			}
			if err := w.WriteAll(rows); err != nil {
				t.Fatal(err)
			}
			return []byte(b.String())
		}
		photos, problems := ParsePhotosCSV(PhotosFile, sheet([]string{"block", "row", "tree", "kind", "photo"}, []string{"b1", "1", "1", "floor", SafeCell(name)}), o)
		if len(problems) > 0 || len(photos) != 1 || photos[0].Photo != cleanPath(name) {
			t.Errorf("photo %q reads as %+v, %v", name, photos, problems)
		}
		marks, problems := ParseMarks(MarksFile, sheet([]string{"block", "row", "tree", "mark", "note"}, []string{"b1", "1", "1", "flooded", SafeCell(name)}), o)
		if len(problems) > 0 || len(marks) != 1 || marks[0].Note != name {
			t.Errorf("note %q reads as %+v, %v", name, marks, problems)
		}
	})
}

// FuzzLenses: no text makes the reader of lenses.json panic; lenses that it takes
// read the same after they were written; what it refuses names the file, and the
// line where the text is no JSON.
func FuzzLenses(f *testing.F) {
	whole, err := lensText([]Lens{aLens()})
	if err != nil {
		f.Fatal(err)
	}
	f.Add(whole)
	f.Add([]byte("{\n\"lenses\": [}"))
	f.Add([]byte(`{"lenses":[{"width_px":1e300}]}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		lenses, err := parseLenses(data)
		if err != nil {
			var p Problem
			if !errors.As(err, &p) {
				t.Fatalf("%T", err)
			}
			namesLines(t, LensFile, string(data), Problems{p})
			return
		}
		text, err := lensText(lenses)
		if err != nil {
			t.Fatal(err)
		}
		if back, err := parseLenses(text); err != nil || len(lenses) > 0 && !reflect.DeepEqual(back, lenses) {
			t.Errorf("%+v reads as %+v, %v", lenses, back, err)
		}
	})
}
