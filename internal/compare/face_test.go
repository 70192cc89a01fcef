package compare

import (
	"strings"
	"testing"

	"rowlight/internal/orchard"
)

// Side photos of one face are paired, whatever their order; a tree's two faces are
// never held against each other.
func TestOneFaceIsCompared(t *testing.T) {
	photo := func(path, side string) *orchard.Record {
		tree := id(1)
		return &orchard.Record{Path: path, Tree: &tree, Kind: orchard.Side, Status: orchard.Measured, AlleySide: side}
	}
	left, right, none := photo("l", "left"), photo("r", "right"), photo("n", "")
	for _, c := range []struct{ before, after, want []*orchard.Record }{
		{[]*orchard.Record{left, right}, []*orchard.Record{right}, []*orchard.Record{right, right}},
		{[]*orchard.Record{none, left}, []*orchard.Record{left, none}, []*orchard.Record{none, none}},
		{[]*orchard.Record{none}, []*orchard.Record{left}, []*orchard.Record{none, left}},
	} {
		if b, a := oneFace(c.before, c.after); b != c.want[0] || a != c.want[1] {
			t.Errorf("%s and %s, want %s and %s", b.Path, a.Path, c.want[0].Path, c.want[1].Path)
		}
	}
	o, _ := load(t, "")
	before, after := visitOf("2026-08-01", lit(1, .05, 20)), visitOf("2026-09-01", lit(1, .05, 20))
	before.Photos, after.Photos = []orchard.Record{*left}, []orchard.Record{*right}
	if why := strings.Join(mustRun(t, o, before, after, nil).Trees[0].Why, "; "); !strings.Contains(why, "from the left alley, the other from the right") {
		t.Errorf("why %q", why)
	}
}
