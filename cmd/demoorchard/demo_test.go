package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"testing"

	"rowlight/internal/orchard"
	"rowlight/internal/scene"
)

// everyJob lists the photos of both visits.
func everyJob(t *testing.T) []job {
	t.Helper()
	var jobs []job
	for _, visit := range []string{visitBefore, visitAfter} {
		var walk []job
		from := starts(visit)
		for _, p := range story() {
			walk = append(walk, plan(&block{planting: p}, visit, from)...)
			from = walk[len(walk)-1].taken
		}
		if visit == visitBefore {
			walk = spoil(walk)
		}
		jobs = append(jobs, walk...)
	}
	return jobs
}

func TestOrchardFileFitsTheStory(t *testing.T) {
	o, err := orchard.Parse(orchard.FileName, []byte(orchardFile))
	if err != nil {
		t.Fatal(err)
	}
	n := 0
	for _, p := range story() {
		b := o.Block(p.key)
		if b == nil {
			t.Fatalf("the file has no block %s", p.key)
		}
		if o.RowSpacingM(p.key) != p.rowSpacingM || o.TreeSpacingM(p.key) != p.treeSpacingM {
			t.Errorf("block %s: the file's spacings are not the story's", p.key)
		}
		for r, row := range p.rows {
			for k := range row {
				n++
				if id := (orchard.TreeID{Block: p.key, Row: r + 1, Tree: k + 1}); !o.Has(id) {
					t.Errorf("the file has no tree %s", id)
				}
			}
		}
	}
	if n < 12 || n != len(o.Trees()) {
		t.Errorf("%d trees in the story, %d in the file; want the same and 12 at least", n, len(o.Trees()))
	}
}

// The sun must stand over 40 degrees high for every photo: well above the 30 that
// a floor photo needs.
func TestSunIsHighAndNamesDiffer(t *testing.T) {
	seen := map[string]bool{}
	faults := map[fault]int{}
	for _, j := range everyJob(t) {
		if e := sunAt(j.taken).ElevationDeg; e < 40 {
			t.Errorf("%s: the sun stands %.1f degrees high, want 40", j.name, e)
		}
		if seen[j.name] {
			t.Errorf("two photos are called %s", j.name)
		}
		seen[j.name] = true
		faults[j.fault]++
	}
	for f := cloudy; f <= cardInstead; f++ {
		if faults[f] != 1 {
			t.Errorf("fault %d in %d photos, want one", f, faults[f])
		}
	}
}

// A photo drawn again, in another order, has the same bytes; one that is there is
// left alone.
func TestPhotoIsTheSameDrawnAgain(t *testing.T) {
	if testing.Short() {
		t.Skip("draws photos")
	}
	p := story()[1]
	p.rows = [][]plant{p.rows[0][:1], p.rows[1][:1]}
	var files [2][]byte
	for i := range files {
		d := &demo{options: options{out: t.TempDir(), seed: 1, workers: 1 + i, quick: true}, words: os.Stderr}
		d.floors = scene.NewFloors(1)
		b := grow(p, 1)
		jobs := plan(b, visitAfter, starts(visitAfter))[i:3]
		if err := d.block(context.Background(), b, visitAfter, jobs); err != nil {
			t.Fatal(err)
		}
		data, err := os.ReadFile(filepath.Join(d.out, filepath.FromSlash(jobs[len(jobs)-1].name)))
		if err != nil {
			t.Fatal(err)
		}
		files[i] = data
		before := d.drawn.Load()
		if err := d.block(context.Background(), b, visitAfter, jobs); err != nil {
			t.Fatal(err)
		}
		if d.drawn.Load() != before {
			t.Error("photos that were there were drawn again")
		}
	}
	if !bytes.Equal(files[0], files[1]) {
		t.Error("the same photo has other bytes in another run")
	}
}
