package orchard

import "testing"

// One change at a time makes sound results into what no run writes.
func TestCheckRefusesWhatNoRunWrites(t *testing.T) {
	one, two := 1.0, 2.0
	sound := func() *VisitResult {
		m := []Measurement{{Quantity: HeightM, Value: &one, Low95: &one, High95: &two, Photos: []string{"photos/v/a.jpg"}, Parts: []ErrorPart{{"pose", 1}}}}
		return &VisitResult{
			Visit:  "v",
			Trees:  []TreeResult{{ID: TreeID{"b1", 1, 1}, Measurements: m, Priority: &Priority{Rank: 1}, Photos: []string{"photos/v/a.jpg"}}},
			Photos: []Record{{Path: "photos/v/a.jpg", Overlay: "overlays/a.jpg", Tree: &TreeID{"b1", 1, 1}, Measurements: m}},
			Pairs:  []Record{{Path: "photos/v/a.jpg + photos/v/b.jpg", Pair: []string{"photos/v/a.jpg", "photos/v/b.jpg"}}},
			Sways:  []Sway{{Top: []TreeID{{"b1", 1, 1}}}},
		}
	}
	if err := sound().Check(); err != nil {
		t.Fatal(err)
	}
	for name, spoil := range map[string]func(v *VisitResult){
		"a visit that leads out":     func(v *VisitResult) { v.Visit = "../.." },
		"a block that leads out":     func(v *VisitResult) { v.Trees[0].ID.Block = "../../x" },
		"a block of markup":          func(v *VisitResult) { v.Trees[0].ID.Block = "<b>" },
		"a row 0":                    func(v *VisitResult) { v.Trees[0].ID.Row = 0 },
		"a photo that leads out":     func(v *VisitResult) { v.Photos[0].Path = "../../etc/passwd" },
		"an overlay that leads out":  func(v *VisitResult) { v.Photos[0].Overlay = "/etc/passwd" },
		"a pair that leads out":      func(v *VisitResult) { v.Pairs[0].Pair[1] = "../b.jpg" },
		"a tree's photo leading out": func(v *VisitResult) { v.Trees[0].Photos[0] = "/a.jpg" },
		"a number's photo":           func(v *VisitResult) { v.Trees[0].Measurements[0].Photos[0] = "../a.jpg" },
		"a value without interval":   func(v *VisitResult) { v.Trees[0].Measurements[0].Low95 = nil },
		"an interval turned round": func(v *VisitResult) {
			v.Photos[0].Measurements[0].Low95 = &two
			v.Photos[0].Measurements[0].High95 = &one
		},
		"an error below 0":        func(v *VisitResult) { v.Trees[0].Measurements[0].Parts[0].SD = -1 },
		"a tree twice":            func(v *VisitResult) { v.Trees = append(v.Trees, v.Trees[0]) },
		"a weighed share over 1":  func(v *VisitResult) { v.Trees[0].Priority.SunlitWeighed = &Weighed{0.5, 0.2, 1.5} },
		"a share off its range":   func(v *VisitResult) { v.Trees[0].Priority.SunlitWeighed = &Weighed{0.1, 0.2, 0.3} },
		"a rank 0":                func(v *VisitResult) { v.Trees[0].Priority.Rank = 0 },
		"a photo's tree":          func(v *VisitResult) { v.Photos[0].Tree.Tree = -1 },
		"a tree moved by weights": func(v *VisitResult) { v.Sways[0].Top[0].Block = "" },
	} {
		v := sound()
		if spoil(v); v.Check() == nil {
			t.Errorf("%s passes", name)
		}
	}
}
