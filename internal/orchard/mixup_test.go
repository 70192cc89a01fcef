package orchard

import (
	"fmt"
	"strings"
	"testing"
	"time"
)

// mixVisit is a walk past six trees: at each a side, a floor and an alley photo, 40 s
// apart, and 90 s to the next tree; spoil changes it.
func mixVisit(o *Orchard, spoil func(photos map[string]*Record)) *VisitResult {
	v := &VisitResult{Visit: "v"}
	at := time.Date(2026, 8, 20, 11, 0, 0, 0, time.UTC)
	for _, id := range o.Trees() {
		lat, lon, ok := o.Position(id)
		for _, kind := range []Kind{Side, Floor, Alley} {
			taken, board := at, 0
			r := Record{Path: fmt.Sprintf("%s-%s.jpg", id, kind), Tree: &TreeID{id.Block, id.Row, id.Tree}, Kind: kind, PlacedBy: ByName, TakenAt: &taken, Camera: "c", Boards: []int{board}, Status: Measured}
			if ok {
				r.LatDeg, r.LonDeg = &lat, &lon
			}
			v.Photos = append(v.Photos, r)
			at = at.Add(40 * time.Second)
		}
		at = at.Add(90 * time.Second)
	}
	photos := map[string]*Record{}
	for i := range v.Photos {
		photos[v.Photos[i].Path] = &v.Photos[i]
	}
	if spoil != nil {
		spoil(photos)
	}
	return v
}

// swapNames puts two photos under each other's tree, as a slip in photos.csv does.
func swapNames(a, b string) func(map[string]*Record) {
	return func(p map[string]*Record) { p[a].Tree, p[b].Tree = p[b].Tree, p[a].Tree }
}

func mixOrchard() *Orchard {
	return &Orchard{Blocks: []Block{{Key: "b1", Rows: []int{1}, RowTrees: []int{6}, TreeSpacingM: 5, RowSpacingM: 8, FirstTree: &LatLon{-26, 152}}}}
}

// floorsBeforeSides makes the floor each tree's first photo, all 45 s apart, trees too.
func floorsBeforeSides(p map[string]*Record) {
	for n := 1; n <= 6; n++ {
		at := time.Date(2026, 8, 20, 11, 0, 135*n, 0, time.UTC)
		for k, kind := range []Kind{Floor, Side, Alley} {
			taken := at.Add(time.Duration(45*k) * time.Second)
			p[fmt.Sprintf("b1-r01-t%02d-%s.jpg", n, kind)].TakenAt = &taken
		}
	}
}

func noTimes(p map[string]*Record) {
	for _, r := range p {
		r.TakenAt = nil
	}
}

func noPlaces(p map[string]*Record) {
	for _, r := range p {
		r.LatDeg, r.LonDeg = nil, nil
	}
}

// Photos swapped between two trees are found by whatever evidence there is, and by
// it alone.
func TestMixUpsAreFound(t *testing.T) {
	o := mixOrchard()
	far := mixOrchard()
	far.Blocks[0].TreeSpacingM = 25 // two trees on are 50 m: beyond any phone's error
	ownBoards := func(p map[string]*Record) {
		for _, r := range p {
			r.Boards = []int{r.Tree.Tree}
		}
	}
	for name, c := range map[string]struct {
		o    *Orchard
		kind Kind
		says string
		prep []func(map[string]*Record)
	}{
		"floors by time":            {o, Floor, "was taken with the other photos of", []func(map[string]*Record){noPlaces, swapNames("b1-r01-t02-floor.jpg", "b1-r01-t04-floor.jpg")}},
		"sides by time":             {o, Side, "was taken with", []func(map[string]*Record){noPlaces, swapNames("b1-r01-t02-side.jpg", "b1-r01-t04-side.jpg")}},
		"alleys by time":            {o, Alley, "was taken with", []func(map[string]*Record){noPlaces, swapNames("b1-r01-t02-alley.jpg", "b1-r01-t04-alley.jpg")}},
		"the first photo at a tree": {o, Floor, "by the clock", []func(map[string]*Record){noPlaces, floorsBeforeSides, swapNames("b1-r01-t02-floor.jpg", "b1-r01-t03-floor.jpg")}},
		"alleys by GPS":             {far, Alley, "by its GPS, 50 m from its tree", []func(map[string]*Record){noTimes, swapNames("b1-r01-t02-alley.jpg", "b1-r01-t04-alley.jpg")}},
		"floors by own boards":      {o, Floor, "shows board 4", []func(map[string]*Record){noTimes, noPlaces, ownBoards, swapNames("b1-r01-t02-floor.jpg", "b1-r01-t04-floor.jpg")}},
	} {
		got := c.o.MixUps(mixVisit(c.o, func(p map[string]*Record) {
			for _, f := range c.prep {
				f(p)
			}
		}))
		if len(got) != 1 || got[0].Kind != c.kind || got[0].A.Tree != 2 || got[0].B.Tree > 4 || !strings.Contains(got[0].Why, c.says) {
			t.Errorf("%s: %+v", name, got)
		}
	}
}

// What a good walk may look like is no mix-up: all as it should be; floors of all trees
// first and then back up the row for the rest; one photo taken later from memory; two
// trees 10 m apart with a phone's error; no clock, place or board at all.
func TestNoMixUpWhereNoneIs(t *testing.T) {
	o := mixOrchard()
	for name, spoil := range map[string]func(map[string]*Record){
		"as it should be": nil,
		"floors first": func(p map[string]*Record) {
			at := time.Date(2026, 8, 20, 10, 0, 0, 0, time.UTC)
			for n := 6; n >= 1; n-- {
				taken := at.Add(time.Duration(6-n) * time.Minute)
				p[fmt.Sprintf("b1-r01-t%02d-floor.jpg", n)].TakenAt = &taken
			}
		},
		"floors of two trees first": func(p map[string]*Record) {
			for n := 1; n < 6; n += 2 {
				first := p[fmt.Sprintf("b1-r01-t%02d-side.jpg", n)].TakenAt
				for k := range 2 {
					taken := first.Add(time.Duration(k-2) * 30 * time.Second)
					p[fmt.Sprintf("b1-r01-t%02d-floor.jpg", n+k)].TakenAt = &taken
				}
			}
		},
		"floors first, from tree 1": func(p map[string]*Record) {
			first := p["b1-r01-t01-side.jpg"].TakenAt
			for n := 1; n <= 6; n++ {
				taken := first.Add(time.Duration(n-7) * 40 * time.Second)
				p[fmt.Sprintf("b1-r01-t%02d-floor.jpg", n)].TakenAt = &taken
			}
		},
		"a floor forgotten and taken from the next tree": func(p map[string]*Record) {
			taken := p["b1-r01-t03-side.jpg"].TakenAt.Add(-20 * time.Second)
			p["b1-r01-t02-floor.jpg"].TakenAt = &taken
		},
		"one retaken": func(p map[string]*Record) {
			later := p["b1-r01-t05-side.jpg"].TakenAt.Add(10 * time.Second)
			p["b1-r01-t02-floor.jpg"].TakenAt = &later
		},
		"GPS alone, 10 m": func(p map[string]*Record) {
			noTimes(p)
			swapNames("b1-r01-t02-floor.jpg", "b1-r01-t04-floor.jpg")(p)
		},
		"nothing to go by": func(p map[string]*Record) {
			noTimes(p)
			noPlaces(p)
			swapNames("b1-r01-t02-floor.jpg", "b1-r01-t04-floor.jpg")(p)
		},
	} {
		if got := o.MixUps(mixVisit(o, spoil)); len(got) > 0 {
			t.Errorf("%s: %+v", name, got)
		}
	}
}
