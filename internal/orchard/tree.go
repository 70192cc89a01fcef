package orchard

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// String names a tree as its photos are named: "b1-r03-t11".
func (t TreeID) String() string { return fmt.Sprintf("%s-r%02d-t%02d", t.Block, t.Row, t.Tree) }

// Words names a tree in a sentence: "block b1 row 3 tree 11".
func (t TreeID) Words() string {
	return fmt.Sprintf("block %s row %d tree %d", t.Block, t.Row, t.Tree)
}

// foldKey makes block keys comparable: case and the two separators do not count,
// as file names and cards mix them.
func foldKey(key string) string { return strings.ReplaceAll(strings.ToLower(key), "_", "-") }

// Block returns the block of a key, case and - against _ not counted; nil where
// there is none.
func (o *Orchard) Block(key string) *Block {
	for i := range o.Blocks {
		if foldKey(o.Blocks[i].Key) == foldKey(key) {
			return &o.Blocks[i]
		}
	}
	return nil
}

// RowSpacingM returns a block's row spacing in metres, 0 where there is no such
// block.
func (o *Orchard) RowSpacingM(key string) float64 {
	if b := o.Block(key); b != nil {
		return b.RowSpacingM
	}
	return 0
}

// TreeSpacingM returns a block's tree spacing in metres, 0 where there is no such
// block.
func (o *Orchard) TreeSpacingM(key string) float64 {
	if b := o.Block(key); b != nil {
		return b.TreeSpacingM
	}
	return 0
}

// TreePlaces returns how many tree places a row has, 0 for a row that is not
// there.
func (b *Block) TreePlaces(row int) int {
	if i := slices.Index(b.Rows, row); i >= 0 {
		return b.RowTrees[i]
	}
	return 0
}

// Trees returns every tree in walking order: block by block, row by row, always
// from tree 1 up; missing trees left out.
func (o *Orchard) Trees() []TreeID {
	var trees []TreeID
	for i := range o.Blocks {
		b := &o.Blocks[i]
		gone := map[TreeID]bool{}
		for _, m := range b.Missing {
			gone[m] = true
		}
		for j, row := range b.Rows {
			for n := 1; n <= b.RowTrees[j]; n++ {
				if t := (TreeID{b.Key, row, n}); !gone[t] {
					trees = append(trees, t)
				}
			}
		}
	}
	return trees
}

// Has says whether a tree stands in the orchard. The block's key is compared
// without case.
func (o *Orchard) Has(t TreeID) bool {
	_, why := o.Resolve(t)
	return why == ""
}

// Resolve returns the tree with its block's key as the orchard file writes it;
// where there is no such tree, why not, in a grower's words.
func (o *Orchard) Resolve(t TreeID) (tree TreeID, why string) {
	b := o.Block(t.Block)
	if b == nil {
		return t, fmt.Sprintf("%s has no block %q (it has %s)", FileName, t.Block, strings.Join(o.keys(), ", "))
	}
	t.Block = b.Key
	places := b.TreePlaces(t.Row)
	switch {
	case places == 0:
		return t, fmt.Sprintf("block %s has no row %d", b.Key, t.Row)
	case t.Tree < 1 || t.Tree > places:
		return t, fmt.Sprintf("row %d of block %s has trees 1 to %d, not %d", t.Row, b.Key, places, t.Tree)
	case slices.Contains(b.Missing, t):
		return t, fmt.Sprintf("%s is listed as missing in %s", t.Words(), FileName)
	}
	return t, ""
}

func (o *Orchard) keys() []string {
	var keys []string
	for _, b := range o.Blocks {
		keys = append(keys, b.Key)
	}
	return keys
}

// The WGS 84 ellipsoid: half its equatorial axis in metres and its first
// eccentricity squared (NIMA TR8350.2).
const (
	wgs84AM = 6378137.0
	wgs84E2 = 0.00669437999014
)

// Position returns where a tree stands, degrees WGS 84, where its block's first
// tree has a place; ok is false elsewhere and for a tree that is not there.
//
// On the plane that touches the ellipsoid at the block's first tree (lat0, lon0),
// s metres along the row's bearing d and x metres across to its right:
//
//	north = s cos d - x sin d, east = s sin d + x cos d
//	lat = lat0 + north/M, lon = lon0 + east/(N cos lat0)
//	M = a(1-e2)/(1-e2 sin2 lat0)^1.5, N = a/(1-e2 sin2 lat0)^0.5
//
// A row number left out of the block leaves its room. Over a block of 1 km the
// plane errs by centimetres, far below the error of any phone's place.
func (o *Orchard) Position(t TreeID) (latDeg, lonDeg float64, ok bool) {
	t, why := o.Resolve(t)
	b := o.Block(t.Block)
	if why != "" || b.FirstTree == nil {
		return 0, 0, false
	}
	along := float64(t.Tree-1) * b.TreeSpacingM
	across := float64(t.Row-slices.Min(b.Rows)) * b.RowSpacingM
	if b.NextRowLeft {
		across = -across
	}
	sin, cos := math.Sincos(b.RowDirectionDeg * math.Pi / 180)
	p := b.FirstTree.Moved(along*cos-across*sin, along*sin+across*cos)
	return p.LatDeg, p.LonDeg, true
}

// Moved returns the place northM and eastM metres away on the plane that touches
// the ellipsoid here; not for the poles.
func (p LatLon) Moved(northM, eastM float64) LatLon {
	lat := p.LatDeg * math.Pi / 180
	s := math.Sin(lat)
	w := math.Sqrt(1 - wgs84E2*s*s)
	m, n := wgs84AM*(1-wgs84E2)/(w*w*w), wgs84AM/w
	lon := p.LonDeg + eastM/(n*math.Cos(lat))*180/math.Pi
	return LatLon{p.LatDeg + northM/m*180/math.Pi, math.Mod(lon+540, 360) - 180}
}
