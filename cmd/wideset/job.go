package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"golang.org/x/sync/errgroup"

	"rowlight/internal/scene"
)

// floorSets is how many differently strewn floors a set has.
const floorSets = 3

// drawAll draws every photo that is not there yet and says how many it drew.
func drawAll(ctx context.Context, o options, words io.Writer) (int, error) {
	if err := os.MkdirAll(o.out, 0o755); err != nil {
		return 0, fmt.Errorf("make the folder: %w", err)
	}
	var floors [floorSets]*scene.Floors
	for i := range floors {
		floors[i] = scene.NewFloors(o.seed + uint64(i))
	}
	g, ctx := errgroup.WithContext(ctx)
	g.SetLimit(max(1, o.workers))
	kinds := []struct {
		name string
		n    int
		plan func(*scene.Rand) *plan
	}{{"floor", o.floor, planFloor}, {"side", o.side, planSide}, {"alley", o.alley, planAlley}}
	total := 0
	for i := range max(o.floor, o.side, o.alley) {
		for k, kind := range kinds {
			if i >= kind.n {
				continue
			}
			stem := fmt.Sprintf("wide_%s_%02d", kind.name, i)
			g.Go(func() error {
				if ctx.Err() != nil {
					return ctx.Err()
				}
				last := stem
				if o.pairs && k > 0 {
					last += "_b"
				}
				if _, err := os.Stat(filepath.Join(o.out, last+".json")); err == nil {
					return nil // there from an earlier run that was stopped
				}
				fmt.Fprintln(words, stem)
				rnd := scene.NewRand(o.seed, uint64(k), uint64(i))
				p := kind.plan(rnd)
				p.kind, p.stem = kind.name, stem
				p.film.enlarge(o.longPx)
				return p.shoot(o, floors[(i+k)%floorSets], rnd)
			})
			total++
		}
	}
	return total, g.Wait()
}

// shoot draws a plan's photo and, where asked for, its partner.
func (p *plan) shoot(o options, floors *scene.Floors, rnd *scene.Rand) error {
	stand := scene.NewStandOn(rnd.Uint64(), p.ground, p.trees...)
	if err := p.one(o, stand, floors, rnd, p.stem); err != nil {
		return err
	}
	if !o.pairs || p.kind == "floor" {
		return nil
	}
	p.stepAside(rnd)
	p.look = drawLook(rnd, p.light)
	return p.one(o, stand, floors, rnd, p.stem+"_b")
}

// one draws a photo and writes it with its truth.
func (p *plan) one(o options, stand *scene.Stand, floors *scene.Floors, rnd *scene.Rand, stem string) error {
	view := scene.NewView(stand, floors, scene.Shot{Camera: p.camera(), Boards: p.boards,
		Sky: p.light.sky, Diffuse: p.light.diffuse, Sun: p.light.sun, Seed: rnd.Uint64()})
	classes := view.Classes(p.target)
	truth := p.truth(view, stand, classes, stem)
	sensor := scene.Sensor{Seed: rnd.Uint64(), FullWell: p.look.fullWell, Read: 4, Look: p.look.Look}
	data, err := scene.EncodeJPEG(view.Draw().Develop(sensor), p.exif())
	if err != nil {
		return err
	}
	if err := write(o.out, stem+".jpg", data); err != nil {
		return err
	}
	if o.maps {
		if err := writeClasses(o.out, stem, classes, view.Camera.WidthPx); err != nil {
			return err
		}
	}
	return writeTruth(o.out, stem, truth)
}
