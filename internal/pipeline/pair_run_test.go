package pipeline_test

import (
	"context"
	"os"
	"path/filepath"
	"reflect"
	"testing"

	"rowlight/internal/orchard"
	"rowlight/internal/pipeline"
)

const sharedDir = "../../../shared/truth/rendered"

func sharedPhoto(t *testing.T, stem string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(sharedDir, stem+".jpg"))
	if err != nil {
		t.Skipf("TRUTH NOT HERE: %v, so pairs of photos are not tested", err)
	}
	return data
}

// Two alley photos of one tree a step apart are one pair without anyone saying so;
// their number stands in for the single photos', and is kept for the next run.
func TestRunFindsAPairAndKeepsIt(t *testing.T) {
	if testing.Short() {
		t.Skip("measures two photos and their pair")
	}
	dir := newOrchard(t, map[string][]byte{
		"b1-r01-t01-alley-a.jpg": sharedPhoto(t, "practice_alley_03"),
		"b1-r01-t01-alley-b.jpg": sharedPhoto(t, "practice_alley_03_b"),
	})
	first := runIn(t, dir)
	if n := len(first.Visit.Pairs); n != 1 {
		t.Fatalf("%d pairs, want 1", n)
	}
	pair := first.Visit.Pairs[0]
	if pair.Status != orchard.Measured {
		t.Fatalf("pair %s: %s", pair.Status, pair.Reason)
	}
	m := first.Visit.Trees[0].Find(orchard.ClearWidthM)
	if m == nil || m.Method != pipeline.PairMethod || len(m.Photos) != 2 || len(m.Parts) == 0 {
		t.Errorf("the tree's clear width is %+v", m)
	}
	profile := 0
	for _, m := range first.Visit.Trees[0].Measurements {
		if m.Quantity == orchard.ClearWidthAtM {
			profile++
			if m.Method != pipeline.PairMethod {
				t.Errorf("a place of the profile is by %q", m.Method)
			}
		}
	}
	if profile != 9 { // the metres from 3 to 12
		t.Errorf("%d places in the profile, want 9", profile)
	}
	overlay := filepath.Join(dir, pipeline.ResultsDir, visit, filepath.FromSlash(pair.Overlay))
	before, err := os.Stat(overlay)
	if err != nil {
		t.Fatal(err)
	}
	again := runIn(t, dir)
	after, err := os.Stat(overlay)
	if err != nil || !after.ModTime().Equal(before.ModTime()) {
		t.Error("an unchanged pair was measured again")
	}
	if !reflect.DeepEqual(again.Visit.Pairs, first.Visit.Pairs) {
		t.Error("the kept pair differs from the measured one")
	}
}

func TestMeasurePairRefusesWhatIsNoPair(t *testing.T) {
	if testing.Short() {
		t.Skip("measures pairs")
	}
	a, other := sharedPhoto(t, "practice_alley_03"), sharedPhoto(t, "practice_alley_00")
	env := pipeline.Env{Set: pipeline.DefaultSettings(), NumbersOnly: true}
	for name, c := range map[string]struct {
		second []byte
		want   orchard.Status
	}{
		"the same photo twice": {a, orchard.Refused},
		"another board":        {other, orchard.Refused},
		"no photo":             {[]byte("no photo"), orchard.Failed},
	} {
		out := pipeline.MeasurePair(a, c.second, orchard.Alley, env)
		if out.Status != c.want || out.Reason == "" || out.Mend == "" || len(out.Measurements) > 0 {
			t.Errorf("%s: %s, %q, %q, %d numbers", name, out.Status, out.Reason, out.Mend, len(out.Measurements))
		}
	}
	if out := pipeline.MeasurePair(a, a, orchard.Floor, env); out.Status == orchard.Measured {
		t.Error("two floor photos were measured as a pair")
	}
}

// A run that ends while pairs are measured says so.
func TestPairsStopWithTheRun(t *testing.T) {
	dir := newOrchard(t, map[string][]byte{"b1-r01-t01-alley-a.jpg": []byte("a"), "b1-r01-t01-alley-b.jpg": []byte("b")})
	o, err := orchard.Load(dir)
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := pipeline.Run(ctx, pipeline.RunOptions{Dir: dir, Orchard: o, Visit: visit, Version: "test"}, nil); err == nil {
		t.Error("a cancelled run gave a result")
	}
}
