package report

import (
	"fmt"
	"time"

	"rowlight/internal/orchard"
)

// An invented orchard: two blocks, twelve trees with a result, ties, missing
// shots, refusals, a tape measure, a tree of which nothing could be measured.
// Its numbers come from nowhere; it stands for layout and formats only.

var fixtureZone = time.FixedZone("AEST", 10*3600)

func fixtureTime() time.Time { return time.Date(2026, 1, 20, 17, 5, 0, 0, fixtureZone) }

func at(hour, minute int) *time.Time {
	t := time.Date(2026, 1, 20, hour, minute, 0, 0, fixtureZone)
	return &t
}

func num(v float64) *float64 { return &v }

func measured(q orchard.Quantity, unit string, v, low, high float64, photos ...string) orchard.Measurement {
	return orchard.Measurement{Quantity: q, Unit: unit, Value: num(v), Low95: num(low), High95: num(high), Method: "photo", Photos: photos}
}

func absent(q orchard.Quantity, unit, why string) orchard.Measurement {
	return orchard.Measurement{Quantity: q, Unit: unit, Absent: why}
}

func profile(q orchard.Quantity, from, step float64, photo string, values ...float64) []orchard.Measurement {
	var out []orchard.Measurement
	for i, v := range values {
		m := measured(q, "m", v, v-0.15, v+0.2, photo)
		m.AtM = num(from + step*float64(i))
		out = append(out, m)
	}
	return out
}

func fixtureOptions() Options {
	north, south := 352.0, 74.0
	return Options{
		Layout: Layout{Blocks: []Block{
			{Key: "b1", Name: "River flat", Rows: []int{1, 2, 3}, RowTrees: []int{6, 6, 5}, Missing: []orchard.TreeID{{Block: "b1", Row: 1, Tree: 4}}, RowSpacingM: 7, TreeSpacingM: 5, RowBearingDeg: &north, HeightLimitM: 5},
			{Key: "b2", Name: "Hill", Rows: []int{1, 2}, RowTrees: []int{4, 4}, RowSpacingM: 6, TreeSpacingM: 4.5, RowBearingDeg: &south, NextRowLeft: true, HeightLimitM: 4.8},
		}},
		Targets:     targetsFor(&orchard.Orchard{Crop: orchard.Crop{Targets: orchard.DefaultTargets()}, Board: orchard.Board{FloorRadiusM: 1.5}}),
		GeneratedAt: fixtureTime(),
	}
}

// fixtureTree is what differs between the fixture's trees.
type fixtureTree struct {
	block               string
	row, tree           int
	tie                 int
	sun, height, alley  float64 // 0: not measured
	score, halfInterval float64
}

var fixtureTrees = []fixtureTree{
	{"b1", 1, 2, 1, .04, 6.4, 1.62, 83, 8},
	{"b1", 2, 5, 1, .05, 6.1, 1.71, 79, 9},
	{"b2", 1, 1, 1, .06, 5.7, 0, 74, 15},
	{"b1", 1, 3, 2, .09, 5.8, 1.95, 61, 7},
	{"b2", 2, 3, 2, .10, 5.2, 1.88, 58, 8},
	{"b1", 3, 1, 3, .12, 5.3, 2.10, 44, 6},
	{"b1", 3, 2, 4, .14, 4.9, 2.15, 31, 8},
	{"b2", 2, 4, 4, .004, 0, 0, 30, 24},
	{"b1", 2, 1, 4, .15, 5.1, 2.2, 27, 7},
	{"b2", 1, 2, 5, .19, 4.9, 2.45, 9, 5},
	{"b1", 1, 6, 6, .24, 4.4, 2.8, 0, 3},
}

func fixture() *orchard.VisitResult {
	res := &orchard.VisitResult{Schema: Schema, Version: "0.1.0", Settings: "5d1c0e77", Orchard: "Invented Hill Orchard", Visit: "2026-01-summer"}
	for i, f := range fixtureTrees {
		t, photos := f.result(i + 1)
		res.Trees = append(res.Trees, t)
		res.Photos = append(res.Photos, photos...)
	}
	res.Trees = append(res.Trees, orchard.TreeResult{
		ID:       orchard.TreeID{Block: "b1", Row: 2, Tree: 3},
		Unranked: "all 2 photos were refused", Missing: []orchard.Kind{orchard.Floor, orchard.Side, orchard.Alley},
	})
	res.Photos = append(res.Photos, fixtureRefusals()...)
	return sound(res)
}

func (f fixtureTree) id() orchard.TreeID {
	return orchard.TreeID{Block: f.block, Row: f.row, Tree: f.tree}
}

func (f fixtureTree) path(k orchard.Kind, n int) string {
	return fmt.Sprintf("photos/2026-01-summer/%s-%s-%d.jpg", treeKey(f.id()), k, n)
}

func (f fixtureTree) result(rank int) (orchard.TreeResult, []orchard.Record) {
	t := orchard.TreeResult{ID: f.id(), Priority: f.priority(rank)}
	var photos []orchard.Record
	add := func(k orchard.Kind, minute int, ms []orchard.Measurement, quantity orchard.Quantity, value float64) {
		if value == 0 {
			t.Missing = append(t.Missing, k)
			t.Measurements = append(t.Measurements, absent(quantity, "m", "no usable "+string(k)+" photo"))
			return
		}
		path := f.path(k, 1)
		t.Photos = append(t.Photos, path)
		t.Measurements = append(t.Measurements, ms...)
		id := f.id()
		photos = append(photos, orchard.Record{Path: path, SHA256: fmt.Sprintf("%064x", rank*10+minute), Visit: "2026-01-summer", Tree: &id, Kind: k,
			PlacedBy: "file name", TakenAt: at(10+rank/4, minute+rank), Status: orchard.Measured, Boards: []int{1},
			Measurements: ms, Overlay: fmt.Sprintf("overlays/%s-%s-1.jpg", treeKey(id), k), Settings: "5d1c0e77", Version: "0.1.0"})
	}
	add(orchard.Floor, 5, f.floor(), orchard.SunlitFractionRef, f.sun)
	add(orchard.Side, 12, f.side(), orchard.HeightM, f.height)
	add(orchard.Alley, 20, f.alleyWidth(), orchard.ClearWidthM, f.alley)
	if f.block == "b1" { // the phone knew its place only there
		t.LatDeg, t.LonDeg = num(-27.5-float64(f.tree)*4.5e-5), num(152.25+float64(f.row)*7e-5)
	}
	return t, photos
}

func (f fixtureTree) floor() []orchard.Measurement {
	p := f.path(orchard.Floor, 1)
	low, high := f.sun*0.6, f.sun*1.5+0.01
	ref := measured(orchard.SunlitFractionRef, "1", f.sun, low, high, p)
	if f.sun < 0.01 {
		ref.Flags = []string{"nearly all shade: read it as a bound"}
	}
	return []orchard.Measurement{ref,
		measured(orchard.SunlitFraction, "1", f.sun*0.92, low*0.92, high*0.92, p),
		measured(orchard.SunlitFractionBinary, "1", f.sun*0.7, low*0.6, high*0.8, p),
		measured(orchard.FloorContrast, "1", 9.4, 8.6, 10.3, p),
		measured(orchard.FloorAreaM2, "m2", 6.32, 6.2, 6.4, p),
		measured(orchard.SunElevationDeg, "deg", 64.2, 64.1, 64.3, p)}
}

func (f fixtureTree) side() []orchard.Measurement {
	p := f.path(orchard.Side, 1)
	ms := []orchard.Measurement{
		measured(orchard.HeightM, "m", f.height, f.height-0.18, f.height+0.22, p),
		measured(orchard.CrownBaseM, "m", 0.62, 0.5, 0.81, p),
		measured(orchard.CrownWidthM, "m", 4.6, 4.1, 5.2, p),
		measured(orchard.TopToBottomWidth, "1", 0.82, 0.7, 0.95, p),
		measured(orchard.ShoulderM, "m", 0.34, 0.1, 0.52, p),
		measured(orchard.DensityFraction, "1", 0.91, 0.86, 0.95, p),
		measured(orchard.DensityTop, "1", 0.84, 0.78, 0.9, p),
		measured(orchard.DensityMiddle, "1", 0.96, 0.92, 0.98, p),
		measured(orchard.DensityBottom, "1", 0.9, 0.85, 0.94, p),
		measured(orchard.SkyGapFraction, "1", 0.02, 0.01, 0.03, p),
		absent(orchard.LargestGapM, "m", "no gap wider than 0.10 m was seen"),
	}
	return append(ms, profile(orchard.WidthAtHeightM, 0.5, 0.5, p, 2.1, 3.4, 4.2, 4.6, 4.5, 4.3, 3.9, 3.1, 1.8, 0.7)...)
}

func (f fixtureTree) alleyWidth() []orchard.Measurement {
	p := f.path(orchard.Alley, 1)
	clear := measured(orchard.ClearWidthM, "m", f.alley, f.alley-0.25, f.alley+0.35, p)
	if f.tree == 5 {
		clear = measured(orchard.ClearWidthM, "m", f.alley, f.alley-0.05, f.alley+0.05, p)
		clear.Method = "tape"
	}
	ms := []orchard.Measurement{clear,
		measured(orchard.NarrowestM, "m", f.alley-0.2, f.alley-0.5, f.alley, p),
		measured(orchard.NarrowestAtM, "m", 7.5, 7, 8, p)}
	return append(ms, profile(orchard.ClearWidthAtM, 4, 1, p, f.alley+.1, f.alley, f.alley-.05, f.alley-.2, f.alley-.1)...)
}

func (f fixtureTree) priority(rank int) *orchard.Priority {
	p := &orchard.Priority{Score: f.score, Low95: max(f.score-f.halfInterval, 0), High95: min(f.score+f.halfInterval, 100),
		Rank: rank, RankLow: max(rank-1, 1), RankHigh: rank + 1, Tie: f.tie}
	part := func(name string, weight, short, value float64, reason string) {
		p.Parts = append(p.Parts, orchard.Part{Name: name, Weight: weight, Points: weight * max(min(short, 1), 0), Reason: reason, Missing: value == 0})
	}
	part("floor light", 40, 1-f.sun/0.2, f.sun, fmt.Sprintf("floor %.0f %% sunlit, target 20 %%", 100*f.sun))
	reason := func(value float64, s string) string {
		if value == 0 {
			return "not measured"
		}
		return s
	}
	part("height", 25, (f.height-5)/1.5, f.height, reason(f.height, fmt.Sprintf("%.1f m high, limit 5.0 m", f.height)))
	part("alley", 20, (2.5-f.alley)/1, f.alley, reason(f.alley, fmt.Sprintf("alley %.1f m clear, target 2.5 m", f.alley)))
	part("density", 15, f.score/90, 1, "outline 91 % filled")
	return p
}

func fixtureRefusals() []orchard.Record {
	one := orchard.TreeID{Block: "b1", Row: 2, Tree: 3}
	two := orchard.TreeID{Block: "b2", Row: 1, Tree: 1}
	refused := func(name string, id *orchard.TreeID, k orchard.Kind, minute int, reason, mend string) orchard.Record {
		return orchard.Record{Path: "photos/2026-01-summer/" + name, SHA256: fmt.Sprintf("%064x", minute), Visit: "2026-01-summer", Tree: id, Kind: k,
			PlacedBy: "file name", TakenAt: at(8, minute), Status: orchard.Refused, Reason: reason, Mend: mend}
	}
	unplaced := refused("IMG_2231.jpg", nil, "", 55, "no tree in its name, in photos.csv or on a card before it", "photograph the tree's card first, then the tree")
	unplaced.Status, unplaced.PlacedBy = orchard.Unplaced, ""
	broken := refused("b1-r01-t02-side-2.jpg", &orchard.TreeID{Block: "b1", Row: 1, Tree: 2}, orchard.Side, 57, "the file ends in the middle of the picture", "copy it again from the phone")
	broken.Status = orchard.Failed
	return []orchard.Record{
		refused("b1-r02-t03-floor-1.jpg", &one, orchard.Floor, 40, "sun 24° above the horizon, 30° needed", "come back when the sun is higher: after 09:40"),
		refused("b1-r02-t03-side-1.jpg", &one, orchard.Side, 42, "no board found", "show all four corners of the board, none in glare"),
		refused("b2-r01-t01-alley-1.jpg", &two, orchard.Alley, 30, "blurred: edges 4.1 px wide, 2.5 px the most", "hold the phone still and wipe the lens"),
		refused("b2-r01-t01-floor-2.jpg", &two, orchard.Floor, 31, "sun 22° above the horizon, 30° needed", "come back when the sun is higher: after 09:42"),
		unplaced, broken,
	}
}
