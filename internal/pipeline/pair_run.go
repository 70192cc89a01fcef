package pipeline

import (
	"context"
	"fmt"
	"path"
	"slices"
	"sort"
	"time"

	"golang.org/x/sync/errgroup"

	"rowlight/internal/orchard"
)

const (
	// pairApart: a step to the side and a second photo take seconds; after minutes
	// sun and wind have moved what is matched.
	pairApart = 5 * time.Minute
	// pairJoin stands between the two paths in a pair's name.
	pairJoin = " + "
	// pairSettings marks a pair's record beside its photos' own.
	pairSettings = "pair:"
)

// pairable are the kinds of shot that two photos say more of than one.
func pairable(k orchard.Kind) bool { return k == orchard.Alley || k == orchard.Side }

// pairGroup is what photos that can be pairs have in common.
type pairGroup struct {
	tree         orchard.TreeID
	kind         orchard.Kind
	side, camera string
}

// pairGroups sorts photos that may be pairs of each other into groups, each in the
// order they were taken; in order of their first photos' paths.
func pairGroups(records []orchard.Record) [][]*orchard.Record {
	by := map[pairGroup][]*orchard.Record{}
	for i := range records {
		rec := &records[i]
		seen := rec.Status == orchard.Measured || rec.Status == orchard.Refused
		if !seen || rec.Tree == nil || !pairable(rec.Kind) || len(rec.Boards) == 0 || isTwin(rec) {
			continue
		}
		g := pairGroup{*rec.Tree, rec.Kind, rec.AlleySide, rec.Camera}
		by[g] = append(by[g], rec)
	}
	var out [][]*orchard.Record
	for _, g := range by {
		if len(g) < 2 {
			continue
		}
		sort.SliceStable(g, func(i, j int) bool { return takenBefore(g[i], g[j]) })
		out = append(out, g)
	}
	sort.Slice(out, func(i, j int) bool { return out[i][0].Path < out[j][0].Path })
	return out
}

// takenBefore orders photos by time where both have one, else by name.
func takenBefore(a, b *orchard.Record) bool {
	if a.TakenAt != nil && b.TakenAt != nil && !a.TakenAt.Equal(*b.TakenAt) {
		return a.TakenAt.Before(*b.TakenAt)
	}
	return a.Path < b.Path
}

// mayPair tells whether two photos of a group may be one pair: taken close together
// (where both say when) and sharing a board.
func mayPair(a, b *orchard.Record) bool {
	if a.TakenAt != nil && b.TakenAt != nil {
		if d := b.TakenAt.Sub(*a.TakenAt); d > pairApart || d < -pairApart {
			return false
		}
	}
	return slices.ContainsFunc(a.Boards, func(n int) bool { return slices.Contains(b.Boards, n) })
}

// measurePairs looks for pairs among the photos, without anyone naming them, and
// measures each; records come in order of their paths. A photo belongs to one pair:
// the next after it, where the two turn out to stand a step apart.
func (r *runner) measurePairs(ctx context.Context, records []orchard.Record) ([]orchard.Record, error) {
	groups := pairGroups(records)
	if r.crew != nil && len(groups) > 0 { // half as many are wanted now, each with room for two photos
		if err := r.crew.Close(); err != nil {
			return nil, err
		}
	}
	found := make([][]orchard.Record, len(groups))
	g, inner := errgroup.WithContext(ctx)
	g.SetLimit(max(1, r.workers()/2)) // a pair holds two photos, a worker one
	for i, group := range groups {
		g.Go(func() error {
			var err error
			found[i], err = r.pairsOf(inner, group)
			return err
		})
	}
	if err := g.Wait(); err != nil {
		return nil, fmt.Errorf("stopped while measuring pairs of photos; what is done is kept, run it again to go on: %w", err)
	}
	return slices.Concat(found...), ctx.Err()
}

func (r *runner) pairsOf(ctx context.Context, group []*orchard.Record) ([]orchard.Record, error) {
	var out []orchard.Record
	for i := 0; i+1 < len(group); i++ {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if !mayPair(group[i], group[i+1]) {
			continue
		}
		rec, err := r.pair(ctx, group[i], group[i+1])
		if err != nil {
			return nil, err
		}
		if out = append(out, rec); rec.Status == orchard.Measured {
			i++ // the second photo is used up
		}
	}
	return out, nil
}

// pair brings two photos to their common record: kept from before where neither
// changed, measured otherwise.
func (r *runner) pair(ctx context.Context, a, b *orchard.Record) (orchard.Record, error) {
	rec := orchard.Record{
		Path: a.Path + pairJoin + b.Path, SHA256: hashOf([]byte(a.SHA256 + "\n" + b.SHA256)), Visit: a.Visit, Tree: a.Tree, Kind: a.Kind,
		Pair: []string{a.Path, b.Path}, AlleySide: a.AlleySide, PlacedBy: a.PlacedBy, TakenAt: a.TakenAt, Camera: a.Camera, Boards: a.Boards,
		Settings: pairSettings + a.Settings, Version: a.Version,
	}
	if old, ok, err := r.kept(ctx, &rec); err != nil || ok && samePlace(&old, &rec) {
		return old, err
	}
	var photos [2][]byte
	for i, of := range [2]*orchard.Record{a, b} {
		var err error
		if photos[i], err = r.readAgain(of); err != nil { // not kept: the next run may find it well
			rec.Status, rec.Reason, rec.Mend = orchard.Failed, readReason(err), readMend
			return rec, nil
		}
	}
	if err := r.measured(ctx, &rec, askPair, photos[0], photos[1]); err != nil {
		return rec, err
	}
	return rec, r.keep(ctx, &rec)
}

// readAgain reads a photo that this run has read before, and refuses another one in
// its place.
func (r *runner) readAgain(rec *orchard.Record) ([]byte, error) {
	data, err := r.read(rec.Path)
	if err == nil && hashOf(data) != rec.SHA256 {
		err = fmt.Errorf("%s changed while this run was at work: run it again", path.Base(rec.Path))
	}
	return data, err
}
