package pipeline

import (
	"context"
	"fmt"
	"runtime"
	"sync"

	"golang.org/x/sync/errgroup"

	"rowlight/internal/crew"
	"rowlight/internal/orchard"
	"rowlight/internal/store"
)

// runner is one run's state.
type runner struct {
	opt      RunOptions
	db       *store.Store
	emit     func(Event)
	warnings []string
	crew     *crew.Crew // nil measures in this process
	openCV   string     // its version

	mu     sync.Mutex // guards what follows, and emit
	done   int
	fresh  int
	reused int
	rooms  crew.Spares // memory of photos' bytes
}

func (r *runner) warn(ps orchard.Problems) {
	for _, p := range ps {
		r.warnings = append(r.warnings, p.Error())
	}
}

// version is what numbers depend on beside photos and settings. Systems bring a new
// OpenCV without a new Rowlight.
func (r *runner) version() string { return r.opt.Version + " with OpenCV " + r.openCV }

// workers: the work is bound by the cores, and OpenCV is held to one thread.
func (r *runner) workers() int {
	if r.opt.Workers > 0 {
		return r.opt.Workers
	}
	return runtime.GOMAXPROCS(0)
}

// measureAll brings the photos to records over the workers, in order of their paths; records
// come back in that order, whatever the workers did.
func (r *runner) measureAll(ctx context.Context, places []orchard.Placement) ([]orchard.Record, error) {
	records := make([]orchard.Record, len(places))
	err := r.each(ctx, len(places), func(ctx context.Context, i int) error {
		rec, reused, err := r.one(ctx, places[i])
		if err != nil {
			return err
		}
		records[i] = rec
		r.tell(rec, reused, len(places))
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("stopped after %d of %d photos, which are kept; run it again to go on: %w", r.done, len(places), err)
	}
	return records, nil
}

// each calls do for 0..n-1 over the workers until one fails or ctx ends.
func (r *runner) each(ctx context.Context, n int, do func(context.Context, int) error) error {
	g, inner := errgroup.WithContext(ctx)
	g.SetLimit(r.workers())
	for i := range n {
		if inner.Err() != nil {
			break
		}
		g.Go(func() error {
			if err := inner.Err(); err != nil {
				return err
			}
			return do(inner, i)
		})
	}
	if err := g.Wait(); err != nil {
		return err
	}
	return ctx.Err()
}

func (r *runner) tell(rec orchard.Record, reused bool, total int) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.done++
	if reused {
		r.reused++
	} else {
		r.fresh++
	}
	r.emit(Event{Done: r.done, Total: total, Record: rec, Reused: reused})
}
