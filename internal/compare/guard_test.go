package compare

import (
	"strings"
	"testing"

	"rowlight/internal/pipeline"
)

// Looks without a photo make the registration panic, and their pictures too: the tree
// says so, and the run goes on to its verdict.
func TestAPanicOfTheRegistrationIsAReason(t *testing.T) {
	broken := func() *sidePair { return &sidePair{look: [2]*pipeline.SideLook{{}, {}}} }
	p := broken()
	p.layGuarded()
	if p.change != nil || !strings.Contains(p.why, "internal fault") {
		t.Errorf("change %v, why %q", p.change, p.why)
	}
	o, dir := load(t, "")
	before, after := visitOf("2026-08-01", lit(1, .05, 20)), visitOf("2026-09-01", lit(1, .15, 20))
	r := &run{opt: Options{Dir: dir, OutDir: dir, Orchard: o, Before: before, After: after}}
	r.list()
	r.trees[0].side = p
	if err := r.draw(r.trees[0]); err != nil {
		t.Fatal(err)
	}
	r.swaps()
	r.judge(r.trees[0])
	out := r.trees[0].out
	if why := strings.Join(out.Why, "; "); out.Verdict == "" || !strings.Contains(why, "pictures could not be made") || !strings.Contains(why, "side photos on each other") {
		t.Errorf("verdict %q, why %q", out.Verdict, why)
	}
	if out.find("sunlit_fraction_zenith20") == nil {
		t.Error("the floor's change went with the side photos")
	}
}
