package orchard

import "testing"

func TestKindInName(t *testing.T) {
	for name, want := range map[string]Kind{
		"b1-r03-t11-floor-2.jpg":        Floor,
		"b1-r03-t11-floor-close-up.jpg": Floor,
		"b1-r03-t11-up-1.jpg":           Up,
		"b1-r03-t11-alley-floor.jpg":    AlleyFloor,
		"b1-r03-t11-floor_alley-3.jpg":  AlleyFloor,
		"b1-r03-t11-alleyfloor.jpg":     AlleyFloor,
		"b1-r03-t11-alley.jpg":          Alley,
		"b1-r03-t11-side-floor.jpg":     "",
		"IMG_0412.jpg":                  "",
	} {
		if got := KindInName(name); got != want {
			t.Errorf("%s: %q, want %q", name, got, want)
		}
	}
}
