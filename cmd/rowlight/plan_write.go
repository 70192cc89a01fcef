package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path"
	"path/filepath"
	"runtime"

	"github.com/urfave/cli/v2"
	"golang.org/x/sync/errgroup"

	"rowlight/internal/orchard"
	"rowlight/internal/pipeline"
	"rowlight/internal/plan"
	"rowlight/internal/wholefile"
	"rowlight/internal/worksheet"
	"rowlight/vision"
)

// planDir holds the photos with cuts drawn on them, within results/<visit>/.
const planDir = "plan"

// writePlan draws the pictures, writes the files and shows the plan.
func writePlan(c *cli.Context, out, dir string, o *orchard.Orchard, p *plan.Plan) error {
	pictures, bad, err := drawPlan(c, out, dir, o, p)
	if err != nil {
		return err
	}
	missing := ""
	for _, f := range []struct {
		name  string
		write func(io.Writer) error
	}{
		{plan.JSONName, func(w io.Writer) error { return plan.WriteJSON(w, p) }},
		{plan.CSVName, func(w io.Writer) error { return plan.WriteCSV(w, p) }},
		{plan.SheetName, func(w io.Writer) (err error) {
			missing, err = worksheet.Write(w, p, o, pictures)
			return err
		}},
	} {
		if err := wholefile.Write(filepath.Join(out, f.name), f.write); err != nil {
			return err
		}
	}
	tellMissing(c, plan.SheetName, missing)
	return showPlan(c, p, out, bad)
}

// drawPlan draws the cuts on each tree's photo, one tree a core. A photo that cannot be
// drawn on is told and does not stop the plan.
func drawPlan(c *cli.Context, out, dir string, o *orchard.Orchard, p *plan.Plan) (map[orchard.TreeID]worksheet.Picture, int, error) {
	if err := os.MkdirAll(filepath.Join(out, planDir), 0o755); err != nil {
		return nil, 0, fmt.Errorf("plan: make folder: %w", err)
	}
	if err := vision.SetThreads(1); err != nil { // one tree a core does the spreading
		return nil, 0, err
	}
	drawn := make([]drawnTree, len(p.Trees))
	g, ctx := errgroup.WithContext(c.Context)
	g.SetLimit(runtime.GOMAXPROCS(0)) // a photo is one core's work
	for i := range p.Trees {
		g.Go(func() error {
			if err := ctx.Err(); err != nil || p.Trees[i].Photo == "" {
				return err
			}
			drawn[i].jpeg, drawn[i].err = drawTree(dir, o, &p.Trees[i])
			return nil
		})
	}
	if err := g.Wait(); err != nil {
		return nil, 0, fmt.Errorf("stopped before the plan was written: %w", err)
	}
	return keepDrawn(c, out, p, drawn)
}

// drawnTree is a tree's picture, or why there is none; neither where it has no photo.
type drawnTree struct {
	jpeg []byte
	err  error
}

// keepDrawn writes the pictures, names them in the plan, and tells which there are not.
func keepDrawn(c *cli.Context, out string, p *plan.Plan, drawn []drawnTree) (map[orchard.TreeID]worksheet.Picture, int, error) {
	pictures := map[orchard.TreeID]worksheet.Picture{}
	bad := 0
	for i, d := range drawn {
		t := &p.Trees[i]
		switch {
		case d.err != nil:
			bad++
			fmt.Fprintln(c.App.ErrWriter, badLine(t.Photo, "no cuts drawn: "+d.err.Error(), ""))
			pictures[t.ID] = worksheet.Picture{Why: "the photo could not be drawn on"}
			continue
		case d.jpeg == nil:
			continue
		}
		t.Picture = path.Join(planDir, t.ID.String()+".jpg")
		if err := wholefile.Write(filepath.Join(out, filepath.FromSlash(t.Picture)), func(w io.Writer) error {
			_, err := w.Write(d.jpeg)
			return err
		}); err != nil {
			return nil, 0, err
		}
		pictures[t.ID] = worksheet.Picture{JPEG: d.jpeg}
	}
	return pictures, bad, nil
}

func drawTree(dir string, o *orchard.Orchard, t *plan.Tree) ([]byte, error) {
	var cuts []pipeline.CutMark
	for i, p := range t.Places {
		cuts = append(cuts, pipeline.CutMark{Number: i + 1, Kind: pipeline.CutKind(p.Kind), LowM: p.LowM, HighM: p.HighM, SizeM: p.SizeM, Side: p.Side, Face: p.Face})
	}
	canvas, err := pipeline.DrawCuts(dir, t.Photo, o, t.ID, cuts)
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	if err := canvas.Encode(&b); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// showPlan prints the trees to do, and what is not among them.
func showPlan(c *cli.Context, p *plan.Plan, out string, bad int) error {
	w := c.App.Writer
	if c.Bool("json") {
		e := json.NewEncoder(w)
		e.SetEscapeHTML(false)
		for _, t := range p.Trees {
			if err := e.Encode(t); err != nil {
				return err
			}
		}
	} else if err := plan.WriteText(w, p, terminalWidth(w)); err != nil {
		return err
	} else {
		fmt.Fprintf(w, "\nWork sheet: %s\n", filepath.Join(out, plan.SheetName))
	}
	if bad > 0 {
		return errSomeRefused
	}
	return nil
}
