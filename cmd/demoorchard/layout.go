package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"sync/atomic"
	"time"

	"golang.org/x/sync/errgroup"

	"rowlight/internal/orchard"
	"rowlight/internal/scene"
)

// layOut writes the orchard's files and draws the photos that are missing.
func layOut(ctx context.Context, o options, words io.Writer) error {
	begun := time.Now()
	d := &demo{options: o, words: words}
	for _, p := range story() {
		d.blocks = append(d.blocks, grow(p, o.seed))
	}
	if err := d.writeFiles(); err != nil {
		return err
	}
	for _, visit := range []string{visitBefore, visitAfter} {
		if err := d.visit(ctx, visit); err != nil {
			return err
		}
	}
	if n := d.drawn.Load(); n > 0 {
		fmt.Fprintf(words, "%s: drew %d photos in %.0f s\n", o.out, n, time.Since(begun).Seconds())
		return nil
	}
	fmt.Fprintf(words, "%s: the demo orchard is there already\n", o.out)
	return nil
}

// demo is the laying out of one folder.
type demo struct {
	options
	words  io.Writer
	blocks []*block
	floors *scene.Floors
	drawn  atomic.Int32
}

// writeFiles writes orchard.toml, measured.csv and marks.csv and reads the first back.
func (d *demo) writeFiles() error {
	narrow := d.blocks[1]
	taped := orchard.TreeID{Block: narrow.key, Row: 2, Tree: 2}
	now := narrow.at(visitBefore)
	width := clearWidth(now, narrow, taped)
	files := map[string]string{orchard.FileName: orchardFile, orchard.MeasuredFile: fmt.Sprintf(measuredFile, width), orchard.MarksFile: marksFile}
	for _, name := range []string{orchard.FileName, orchard.MeasuredFile, orchard.MarksFile} {
		if err := d.writeOnce(name, []byte(files[name])); err != nil {
			return err
		}
	}
	if _, err := orchard.Load(d.out); err != nil {
		return fmt.Errorf("demoorchard: read the orchard file back: %w", err)
	}
	return nil
}

// clearWidth is what a tape would read beside a tree, to 5 cm.
func clearWidth(now map[orchard.TreeID]*scene.Tree, b *block, id orchard.TreeID) float64 {
	const step = 0.05
	s := scene.TreesOnly(all(b, now)...)
	return step * float64(int(s.ClearWidthM(b.alley(id), b.directionDeg)/step+0.5))
}

// all returns a block's survey trees in order.
func all(b *block, now map[orchard.TreeID]*scene.Tree) []*scene.Tree {
	var out []*scene.Tree
	for _, id := range b.ids() {
		out = append(out, now[id])
	}
	return out
}

// visit draws what is missing of a visit.
func (d *demo) visit(ctx context.Context, visit string) error {
	var jobs []job
	from := starts(visit)
	for _, b := range d.blocks {
		jobs = append(jobs, plan(b, visit, from)...)
		from = jobs[len(jobs)-1].taken.Add(4 * time.Minute) // the walk to the next block
	}
	if visit == visitBefore {
		jobs = spoil(jobs)
	}
	for _, b := range d.blocks {
		if err := d.block(ctx, b, visit, jobs); err != nil {
			return err
		}
	}
	return nil
}

// block draws the missing photos of one block at one visit.
func (d *demo) block(ctx context.Context, b *block, visit string, jobs []job) error {
	var todo []job
	for _, j := range jobs {
		if j.tree.Block != b.key {
			continue
		}
		if _, err := os.Stat(filepath.Join(d.out, filepath.FromSlash(j.name))); errors.Is(err, fs.ErrNotExist) {
			todo = append(todo, j)
		}
	}
	if len(todo) == 0 {
		return nil
	}
	if d.floors == nil {
		d.floors = scene.NewFloors(d.seed)
	}
	fmt.Fprintf(d.words, "drawing %d photos of block %s, visit %s\n", len(todo), b.key, visit)
	now := b.at(visit)
	shoot := &shoot{demo: d, block: b, trees: now, stand: b.stand(now, d.seed)}
	g, ctx := errgroup.WithContext(ctx)
	g.SetLimit(d.workers) // a photo is one core's work
	for _, j := range todo {
		g.Go(func() error {
			if err := ctx.Err(); err != nil {
				return fmt.Errorf("demoorchard: stopped: %w", err)
			}
			return shoot.take(j)
		})
	}
	return g.Wait()
}

// writeOnce writes a file that is not there yet, whole or not at all.
func (d *demo) writeOnce(name string, data []byte) error {
	at := filepath.Join(d.out, filepath.FromSlash(name))
	if _, err := os.Stat(at); err == nil {
		return nil
	}
	if err := os.MkdirAll(filepath.Dir(at), 0o755); err != nil {
		return fmt.Errorf("demoorchard: make folder: %w", err)
	}
	if err := os.WriteFile(at+".part", data, 0o644); err != nil {
		return fmt.Errorf("demoorchard: write: %w", err)
	}
	if err := os.Rename(at+".part", at); err != nil {
		return fmt.Errorf("demoorchard: write: %w", err)
	}
	return nil
}
