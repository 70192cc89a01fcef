package plan

import (
	"testing"

	"rowlight/internal/orchard"
)

// testOrchard is an invented orchard of two blocks; extra goes into the file.
func testOrchard(t testing.TB, extra string) *orchard.Orchard {
	t.Helper()
	o, err := orchard.Parse(orchard.FileName, []byte(`name = "Invented"
[place]
latitude_deg = -26
longitude_deg = 152
time_zone = "Etc/GMT-10"
`+extra+`
[[blocks]]
key = "b1"
rows = 3
trees_per_row = 4
row_spacing_m = 8
tree_spacing_m = 5
row_direction_deg = 0
[[blocks]]
key = "b2"
habit = "open"
rows = 2
trees_per_row = 2
row_spacing_m = 6
tree_spacing_m = 4
row_direction_deg = 0
`))
	if err != nil {
		t.Fatal(err)
	}
	return o
}

func marked(t *testing.T, o *orchard.Orchard, rows string) orchard.Marks {
	t.Helper()
	marks, problems := orchard.ParseMarks(orchard.MarksFile, []byte("block,row,tree,mark,since,until,note\n"+rows), o)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	return marks
}

func measured(q orchard.Quantity, v, half float64) orchard.Measurement {
	low, high := v-half, v+half
	return orchard.Measurement{Quantity: q, Unit: "m", Method: "photo", Value: &v, Low95: &low, High95: &high, Photos: []string{"photos/x/side.jpg"}}
}

// result is a tree at a rank with a floor light and a height.
func result(block string, row, tree, rank int, sunlit, heightM float64) orchard.TreeResult {
	return orchard.TreeResult{
		ID:       orchard.TreeID{Block: block, Row: row, Tree: tree},
		Priority: &orchard.Priority{Rank: rank, RankLow: rank, RankHigh: rank, Score: 100 - float64(rank)},
		Measurements: []orchard.Measurement{
			measured(orchard.SunlitFractionRef, sunlit, 0.005), measured(orchard.HeightM, heightM, 0.2),
			measured(orchard.CrownBaseM, 0.6, 0.1), measured(orchard.CrownWidthM, 4.5, 0.3),
		},
	}
}

func visit(o *orchard.Orchard, name string, trees ...orchard.TreeResult) *orchard.VisitResult {
	return &orchard.VisitResult{Schema: "rowlight-results/1", Visit: name, Settings: o.SettingsHash(), Trees: trees}
}

func build(t *testing.T, in Input) *Plan {
	t.Helper()
	p, err := Build(in)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func ids(trees []Tree) []string {
	var out []string
	for _, t := range trees {
		out = append(out, t.ID.String())
	}
	return out
}
