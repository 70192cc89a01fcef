package compare

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync/atomic"

	"golang.org/x/sync/errgroup"

	"rowlight/internal/orchard"
	"rowlight/internal/pipeline"
	"rowlight/metrics"
)

// Options says what to compare.
type Options struct {
	Dir     string // the orchard folder
	Orchard *orchard.Orchard
	Version string
	// Before and After are the two visits as measured.
	Before, After *orchard.VisitResult
	// Untouched trees serve as control: what changes under them changed by itself.
	Untouched []orchard.TreeID
	// Plan is the plan made at the first visit; nil where there is none.
	Plan *Plan
	// OutDir takes the pictures; "" makes none.
	OutDir string
	// Workers bounds the pairs of photos held at once; 0 takes one a core.
	Workers int
	// Progress is told after each tree; nil is no one to tell.
	Progress func(done, total int)
}

// Run compares the trees of two visits. Bad photos and missing trees are words
// in the result; the error is for what stops the whole.
func Run(ctx context.Context, opt Options) (*Result, error) {
	if opt.Before.Visit == opt.After.Visit {
		return nil, fmt.Errorf("compare: both visits are %s: name two", opt.Before.Visit)
	}
	if first, last := firstTaken(opt.Before), firstTaken(opt.After); first != nil && last != nil && first.After(*last) {
		return nil, fmt.Errorf("compare: the photos of %s were taken after those of %s: name them the other way about", opt.Before.Visit, opt.After.Visit)
	}
	r := &run{opt: opt}
	r.list()
	if err := r.pairs(ctx); err != nil {
		return nil, err
	}
	r.swaps()
	r.mixUps()
	for _, t := range r.trees {
		r.judge(t)
	}
	return r.result(), nil
}

// run is one comparison's state.
type run struct {
	opt   Options
	trees []*tree
	notes []string
}

// tree is one tree on its way to a TreeChange.
type tree struct {
	out           TreeChange
	before, after *orchard.TreeResult // nil where the visit has nothing of it
	control       bool
	planned       *plannedTree
	side          *sidePair
	felledWhy     string
	sunMoved      bool // between the two floor photos
	// mixed are the kinds of photo that look swapped with another tree's, each with why.
	mixed map[orchard.Kind]string
}

// list pairs the trees of the two visits, in walking order.
func (r *run) list() {
	before, after := byTree(r.opt.Before), byTree(r.opt.After)
	for _, id := range r.opt.Orchard.Trees() {
		b, a := before[id], after[id]
		if b == nil && a == nil {
			continue
		}
		t := &tree{out: TreeChange{ID: id, Changes: []Change{}}, before: b, after: a}
		t.control = slices.Contains(r.opt.Untouched, id)
		t.planned = r.opt.Plan.of(id)
		r.trees = append(r.trees, t)
	}
	r.gone()
}

func byTree(v *orchard.VisitResult) map[orchard.TreeID]*orchard.TreeResult {
	out := map[orchard.TreeID]*orchard.TreeResult{}
	for i := range v.Trees {
		out[v.Trees[i].ID] = &v.Trees[i]
	}
	return out
}

// gone adds the trees that orchard.toml lists as missing and that the first
// visit has photos of: felled.
func (r *run) gone() {
	for _, b := range r.opt.Orchard.Blocks {
		for _, id := range b.Missing {
			if photographed(r.opt.Before, id) {
				t := &tree{out: TreeChange{ID: id, Changes: []Change{}}}
				t.felledWhy = fmt.Sprintf("listed as missing in %s", orchard.FileName)
				r.trees = append(r.trees, t)
			}
		}
	}
}

// photographed tells whether a visit has a photo named after a tree that has no
// place in the orchard any more.
func photographed(v *orchard.VisitResult, id orchard.TreeID) bool {
	return slices.ContainsFunc(v.Photos, func(p orchard.Record) bool {
		return p.Status == orchard.Unplaced && strings.Contains(strings.ToLower(filepath.Base(p.Path)), strings.ToLower(id.String()))
	})
}

// pairs lays the side photos of each tree on each other, several trees at once.
func (r *run) pairs(ctx context.Context) error {
	workers := r.opt.Workers
	if workers <= 0 {
		workers = runtime.GOMAXPROCS(0) // bound by the cores; a pair holds some 300 MB
	}
	g, inner := errgroup.WithContext(ctx)
	g.SetLimit(workers)
	var done atomic.Int64
	for _, t := range r.trees {
		g.Go(func() error {
			if err := inner.Err(); err != nil {
				return err
			}
			if err := r.pair(t); err != nil {
				return err
			}
			if n := int(done.Add(1)); r.opt.Progress != nil {
				r.opt.Progress(n, len(r.trees))
			}
			return nil
		})
	}
	if err := g.Wait(); err != nil {
		return fmt.Errorf("compare: stopped: %w", err)
	}
	return ctx.Err()
}

// pair compares one tree's photos; the error is for a folder that cannot be
// written.
func (r *run) pair(t *tree) error {
	if t.before == nil || t.after == nil {
		return nil
	}
	t.side = r.sidePair(t)
	defer t.side.drop() // the photos are the larger part of a pair's memory
	if r.opt.OutDir == "" {
		return nil
	}
	return r.draw(t)
}

// draw writes a tree's pairs of pictures.
func (r *run) draw(t *tree) error {
	if err := os.MkdirAll(filepath.Join(r.opt.OutDir, PictureDir), 0o755); err != nil {
		return fmt.Errorf("make folder: %w", err)
	}
	var err error
	fault := pipeline.Guarded(func() {
		if err = r.sidePictures(t); err == nil {
			err = r.floorPictures(t)
		}
	})
	if fault != nil { // the numbers stand without pictures
		t.out.Why = append(t.out.Why, fmt.Sprintf("its pictures could not be made: %v", fault))
	}
	return err
}

// photosOf are the usable photos of a kind, by path.
func (r *run) photosOf(v *orchard.VisitResult, id orchard.TreeID, kind orchard.Kind) []*orchard.Record {
	var out []*orchard.Record
	for i := range v.Photos {
		p := &v.Photos[i]
		if p.Tree != nil && *p.Tree == id && p.Kind == kind && p.Status == orchard.Measured {
			out = append(out, p)
		}
	}
	return out
}

// whyNone says in words why a visit has no usable photo of a kind.
func whyNone(v *orchard.VisitResult, id orchard.TreeID, kind orchard.Kind) string {
	for i := range v.Photos {
		if p := &v.Photos[i]; p.Tree != nil && *p.Tree == id && p.Kind == kind {
			return fmt.Sprintf("the %s photo of %s could not be used: %s", kind, v.Visit, p.Reason)
		}
	}
	return fmt.Sprintf("no %s photo at %s", kind, v.Visit)
}

// unusableWords are an error's words for people.
func unusableWords(err error) string {
	var u *metrics.Unusable
	if errors.As(err, &u) {
		return u.Reason + ": " + u.Mend
	}
	return err.Error()
}
