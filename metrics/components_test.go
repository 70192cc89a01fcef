package metrics

import (
	"encoding/json"
	"os"
	"slices"
	"testing"
)

// The connected parts of random masks, against scikit-image (Debian's
// python3-skimage 0.19.3; testdata/components/make.py wrote them).
func TestConnectedPartsAgreeWithScikitImage(t *testing.T) {
	data, err := os.ReadFile("testdata/components/parts.json")
	if err != nil {
		t.Fatal(err)
	}
	var cases []struct {
		Rows  []string `json:"rows"`
		Sizes []int    `json:"sizes"`
	}
	if err := json.Unmarshal(data, &cases); err != nil || len(cases) == 0 {
		t.Fatalf("%d cases, %v", len(cases), err)
	}
	for i, c := range cases {
		set := newCellSet(len(c.Rows[0]), len(c.Rows))
		for y, row := range c.Rows {
			for x := range row {
				set.in[y*set.w+x] = row[x] == '#'
			}
		}
		_, sizes := set.bits(set.whole()).parts()
		got := slices.Clone(sizes[1:]) // 0 is the outside
		slices.Sort(got)
		if !slices.Equal(got, c.Sizes) {
			t.Errorf("mask %d: %d parts, scikit-image finds %d", i, len(got), len(c.Sizes))
		}
	}
}
