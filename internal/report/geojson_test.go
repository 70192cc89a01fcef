package report

import (
	"encoding/json"
	"io"
	"math"
	"testing"

	"rowlight/internal/orchard"
)

func geo(t *testing.T, res *orchard.VisitResult) map[string]any {
	t.Helper()
	var m map[string]any
	if err := json.Unmarshal(bytesOf(t, func(w io.Writer) error { return WriteGeoJSON(w, res) }), &m); err != nil {
		t.Fatal(err)
	}
	return m
}

// TestGeoJSONFollowsRFC7946 names the section of each rule.
func TestGeoJSONFollowsRFC7946(t *testing.T) {
	res := fixture()
	fc := geo(t, res)
	if fc["type"] != "FeatureCollection" { // 3.3
		t.Errorf("3.3: type %v", fc["type"])
	}
	if _, ok := fc["crs"]; ok { // 4: the crs member is gone, WGS 84 always
		t.Error("4: there is a crs member")
	}
	features, ok := fc["features"].([]any)
	if !ok {
		t.Fatal("3.3: features is no array")
	}
	placed := map[string]orchard.TreeResult{}
	for _, tr := range res.Trees {
		if tr.LatDeg != nil {
			placed[treeKey(tr.ID)] = tr
		}
	}
	if len(placed) == 0 || len(features) != len(placed) {
		t.Fatalf("%d features for %d trees whose place is known", len(features), len(placed))
	}
	for _, f := range features {
		checkFeature(t, f.(map[string]any), placed)
	}
	checkBBox(t, fc["bbox"].([]any), placed)
}

func checkFeature(t *testing.T, f map[string]any, placed map[string]orchard.TreeResult) {
	t.Helper()
	for _, key := range []string{"type", "geometry", "properties"} { // 3.2
		if _, ok := f[key]; !ok {
			t.Errorf("3.2: a feature has no %s", key)
		}
	}
	for _, key := range []string{"coordinates", "geometries", "features"} { // 7.1
		if _, ok := f[key]; ok {
			t.Errorf("7.1: a feature has %s", key)
		}
	}
	id, ok := f["id"].(string) // 3.2: a string or a number
	tree, known := placed[id]
	if !ok || !known || f["type"] != "Feature" {
		t.Fatalf("3.2: id %v, type %v", f["id"], f["type"])
	}
	g := f["geometry"].(map[string]any)
	at := g["coordinates"].([]any)
	if g["type"] != "Point" || len(at) != 2 { // 3.1.2, and 3.1.1: no height is known
		t.Fatalf("3.1.2: geometry %v", g)
	}
	lon, lat := at[0].(float64), at[1].(float64) // 3.1.1: longitude first
	if math.Abs(lon-*tree.LonDeg) > 1e-7 || math.Abs(lat-*tree.LatDeg) > 1e-7 {
		t.Errorf("3.1.1: %s at %v, %v", id, lon, lat)
	}
	props := f["properties"].(map[string]any)
	if m := tree.Find(orchard.HeightM); m != nil && m.Value != nil && props["height_m"] != *m.Value {
		t.Errorf("%s: height_m %v, want %v", id, props["height_m"], *m.Value)
	}
}

// 5: west, south, east, north.
func checkBBox(t *testing.T, box []any, placed map[string]orchard.TreeResult) {
	t.Helper()
	want := [4]float64{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, tr := range placed {
		want[0], want[2] = math.Min(want[0], *tr.LonDeg), math.Max(want[2], *tr.LonDeg)
		want[1], want[3] = math.Min(want[1], *tr.LatDeg), math.Max(want[3], *tr.LatDeg)
	}
	for i, w := range want {
		if len(box) != 4 || math.Abs(box[i].(float64)-w) > 1e-7 {
			t.Fatalf("5: bbox %v, want %v", box, want)
		}
	}
}

// RFC 7946 5.2 gives the case: a box across the antimeridian has its west
// (177) east of its east (-178).
func TestGeoJSONAcrossTheAntimeridian(t *testing.T) {
	res := &orchard.VisitResult{Trees: []orchard.TreeResult{
		{ID: orchard.TreeID{Block: "b", Row: 1, Tree: 1}, LatDeg: num(-20), LonDeg: num(177)},
		{ID: orchard.TreeID{Block: "b", Row: 1, Tree: 2}, LatDeg: num(-16), LonDeg: num(-178)},
	}}
	box := geo(t, res)["bbox"].([]any)
	for i, w := range []float64{177, -20, -178, -16} {
		if box[i] != w {
			t.Fatalf("bbox %v, want 177 -20 -178 -16", box)
		}
	}
}

// 3.3: features may be empty; it stays an array, and a box of nothing is none.
func TestGeoJSONWithoutPlaces(t *testing.T) {
	res := fixture()
	for i := range res.Trees {
		res.Trees[i].LatDeg, res.Trees[i].LonDeg = num(91), num(0) // no place on Earth
	}
	fc := geo(t, res)
	if f, ok := fc["features"].([]any); !ok || len(f) != 0 || fc["bbox"] != nil {
		t.Errorf("%v", fc)
	}
}
