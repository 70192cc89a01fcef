package orchard

import (
	"errors"
	"strings"
	"testing"
)

// FuzzParse: no text makes Parse panic; what it takes is sound, what it refuses
// names file and mend.
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
			for _, p := range ps {
				if p.File == "" || p.What == "" || p.Mend == "" {
					t.Errorf("%+v", p)
				}
			}
			return
		}
		if o.Place.Zone == nil || len(o.Blocks) == 0 || o.Weights.Sum() <= 0 || o.SettingsHash() == "" {
			t.Errorf("unsound: %+v", o)
		}
		for _, tree := range o.Trees() {
			if !o.Has(tree) {
				t.Fatalf("%v is listed and not there", tree)
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
		rows, _ := ParsePhotosCSV(PhotosFile, []byte(text), o)
		for _, a := range rows {
			if !o.Has(a.Tree) || a.Photo == "" || a.Line < 1 {
				t.Errorf("%+v", a)
			}
		}
		tapes, problems := ParseMeasured(MeasuredFile, []byte(text), o)
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
