package report

import (
	"fmt"
	"io"
	"math"

	"rowlight/internal/orchard"
)

type featureCollection struct {
	Type     string    `json:"type"`
	BBox     []float64 `json:"bbox,omitempty"` // RFC 7946 5: west, south, east, north
	Features []feature `json:"features"`
}

type feature struct {
	Type       string         `json:"type"`
	ID         string         `json:"id"`
	Geometry   point          `json:"geometry"`
	Properties map[string]any `json:"properties"` // keys come out sorted
}

type point struct {
	Type        string     `json:"type"`
	Coordinates [2]float64 `json:"coordinates"` // RFC 7946 3.1.1: longitude, latitude
}

// WriteGeoJSON writes trees.geojson (RFC 7946, WGS 84): one Point a tree whose
// place is known, with its rank, priority and numbers as properties. Where no
// place is known the collection is empty.
func WriteGeoJSON(w io.Writer, res *orchard.VisitResult) error {
	s := sound(res)
	fc := featureCollection{Type: "FeatureCollection", Features: []feature{}}
	for i := range s.Trees {
		if t := &s.Trees[i]; t.LatDeg != nil {
			fc.Features = append(fc.Features, treeFeature(s, t))
		}
	}
	fc.BBox = bbox(fc.Features)
	return encode(w, fc)
}

func treeFeature(s *orchard.VisitResult, t *orchard.TreeResult) feature {
	props := map[string]any{"orchard": s.Orchard, "visit": s.Visit,
		"block": t.ID.Block, "row": t.ID.Row, "tree": t.ID.Tree}
	if p := t.Priority; p != nil {
		props["rank"], props["rank_low"], props["rank_high"], props["tie"] = p.Rank, p.RankLow, p.RankHigh, p.Tie
		props["priority"], props["priority_low95"], props["priority_high95"] = p.Score, p.Low95, p.High95
		props["reasons"] = nonNil(reasons(p))
	} else {
		props["unranked"] = t.Unranked
	}
	for _, m := range t.Measurements {
		if m.AtM != nil || m.Value == nil {
			continue
		}
		c := known(m).Column
		props[c], props[c+"_low95"], props[c+"_high95"] = *m.Value, *m.Low95, *m.High95
	}
	if len(t.Missing) > 0 {
		props["missing"] = t.Missing
	}
	return feature{"Feature", treeKey(t.ID), point{"Point", [2]float64{degree7(*t.LonDeg), degree7(*t.LatDeg)}}, props}
}

// treeKey is a tree's name in files: "b1-r03-t11", as photos are named.
func treeKey(id orchard.TreeID) string {
	return fmt.Sprintf("%s-r%02d-t%02d", id.Block, id.Row, id.Tree)
}

// degree7 rounds to 7 decimals, about a centimetre: finer than any phone's
// place (RFC 7946 11.2 asks for no more than is known).
func degree7(v float64) float64 { return math.Round(v*1e7) / 1e7 }

// bbox returns west, south, east, north. An orchard that lies across the
// antimeridian has its west east of its east (RFC 7946 5.2).
func bbox(fs []feature) []float64 {
	if len(fs) == 0 {
		return nil
	}
	west, south, east, north := bounds(fs, 0)
	if east-west > 180 {
		west, south, east, north = bounds(fs, 360)
		if east > 180 {
			east -= 360
		}
	}
	return []float64{west, south, degree7(east), north}
}

// bounds are the extremes with eastward added to negative longitudes.
func bounds(fs []feature, eastward float64) (west, south, east, north float64) {
	west, south, east, north = math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, f := range fs {
		lon, lat := f.Geometry.Coordinates[0], f.Geometry.Coordinates[1]
		if lon < 0 {
			lon += eastward
		}
		west, east = math.Min(west, lon), math.Max(east, lon)
		south, north = math.Min(south, lat), math.Max(north, lat)
	}
	return west, south, east, north
}

func nonNil(s []string) []string {
	if s == nil {
		return []string{}
	}
	return s
}
