package pipeline

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"time"

	"rowlight/internal/crew"
	"rowlight/internal/orchard"
)

// subject is what a worker can be asked of the photos whose bytes it gets.
type subject string

const (
	askPhoto subject = "photo" // one photo's numbers
	askPair  subject = "pair"  // those of two together
	askLook  subject = "look"  // what tells where a photo belongs
)

// question goes to a worker, which answers with the record filled.
type question struct {
	About  subject
	Record orchard.Record
	Env    wireEnv
}

// wireEnv is Env as it goes to another process: the zone by its name, "" for none.
type wireEnv struct {
	Set    ShotSettings
	Lenses []orchard.Lens
	Place  *Place
	Zone   string
}

func (e wireEnv) env() (Env, error) {
	out := Env{Set: e.Set, Lenses: e.Lenses, Place: e.Place}
	if e.Zone == "" {
		return out, nil
	}
	var err error
	out.Zone, err = time.LoadLocation(e.Zone)
	return out, err
}

// wireEnv is what is known of every photo of a tree.
func (r *runner) wireEnv(tree *orchard.TreeID) wireEnv {
	o := r.opt.Orchard
	return wireEnv{settingsFor(o, tree), o.Lenses, &Place{o.Place.LatDeg, o.Place.LonDeg}, o.Place.Zone.String()}
}

// ask has a worker fill a record from the photos' bytes, or this process where the run
// has no workers, and returns the drawn copy as JPEG, nil for none. A photo that brings
// its worker down is failed, and given up. The error is for what stops the run.
func (r *runner) ask(ctx context.Context, about subject, rec *orchard.Record, photos ...[]byte) (drawn []byte, err error) {
	words, err := json.Marshal(question{about, *rec, r.wireEnv(rec.Tree)})
	if err != nil {
		return nil, fmt.Errorf("pipeline: measure %q: %w", rec.Path, err)
	}
	got, do := crew.Message{Words: words, Pieces: photos}, doHere
	if r.crew != nil {
		do = r.crew.Do
	}
	got, err = do(ctx, got)
	var lost *crew.Lost
	if errors.As(err, &lost) {
		giveUp(rec, lost, r.opt.PhotoLimit)
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	var filled orchard.Record
	if err := json.Unmarshal(got.Words, &filled); err != nil {
		return nil, fmt.Errorf("pipeline: measure %q: %w", rec.Path, err)
	}
	*rec = filled
	return slices.Concat(got.Pieces...), nil
}

func doHere(_ context.Context, m crew.Message) (crew.Message, error) { return new(hand).answer(m), nil }
