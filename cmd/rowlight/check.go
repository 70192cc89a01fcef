package main

import (
	"context"
	"encoding/json"
	"fmt"
	"path/filepath"
	"runtime"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"rowlight/internal/orchard"
	"rowlight/internal/pipeline"
	"rowlight/vision"
)

func checkCommand() *cli.Command {
	return &cli.Command{
		Name:      "check",
		Usage:     "will this photo do? for the walk, before going on",
		ArgsUsage: "PHOTO...",
		Description: "A line a photo: whether it will do, and if not what to change before walking on. Needs no orchard\n" +
			"folder. The kind of shot is read from the photo's name (floor, side, alley, up) unless --kind says it.\n\n" +
			"Example:\n   rowlight check --kind floor IMG_0412.jpg IMG_0413.jpg",
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "kind", Usage: "what the photos show: floor, side, alley or up"},
			&cli.BoolFlag{Name: "json", Usage: "print one JSON object a line"},
		},
		OnUsageError: onUsageError,
		Action:       check,
	}
}

// checked is one line of check's answer.
type checked struct {
	Photo        string                `json:"photo"`
	Kind         orchard.Kind          `json:"kind"`
	OK           bool                  `json:"ok"`
	Reason       string                `json:"reason,omitempty"`
	Mend         string                `json:"mend,omitempty"`
	Flags        []string              `json:"flags,omitempty"`
	Measurements []orchard.Measurement `json:"measurements,omitempty"`
}

func check(c *cli.Context) error {
	if c.NArg() == 0 {
		return usageError{fmt.Errorf("check takes one photo or more")}
	}
	kind := orchard.Kind(c.String("kind"))
	if kind != "" && !slices.Contains(orchard.AllKinds(), kind) {
		return usageError{fmt.Errorf("--kind %q: give floor, side, alley or up", kind)}
	}
	if err := vision.SetThreads(threadsFor(c.NArg())); err != nil {
		return err
	}
	paths := c.Args().Slice()
	answers := checkAll(c.Context, paths, kind)
	bad := 0
	for got := range answers {
		answer := <-got
		if !answer.OK {
			bad++
		}
		if err := printChecked(c, answer); err != nil {
			return err
		}
	}
	if err := c.Context.Err(); err != nil {
		return fmt.Errorf("stopped: %w", err)
	}
	if bad > 0 {
		return errSomeRefused
	}
	return nil
}

// checkAll looks at the photos one a core and hands the answers out in the order
// of the photos, each as soon as it and those before it are there. It stops
// taking up photos when ctx ends.
func checkAll(ctx context.Context, paths []string, kind orchard.Kind) <-chan chan checked {
	cores := runtime.GOMAXPROCS(0)
	answers, working := make(chan chan checked, cores-1), make(chan struct{}, cores)
	go func() {
		defer close(answers)
		for _, path := range paths {
			one := make(chan checked, 1)
			go func() {
				working <- struct{}{}
				one <- checkOne(path, kind)
				<-working
			}()
			select {
			case answers <- one:
			case <-ctx.Done():
				return
			}
		}
	}()
	return answers
}

func checkOne(path string, kind orchard.Kind) checked {
	if kind == "" {
		kind = orchard.KindInName(filepath.Base(path))
	}
	got := checked{Photo: path, Kind: kind}
	out := pipeline.MeasureFile(path, kind, pipeline.Env{Set: pipeline.DefaultSettings(), NumbersOnly: true})
	got.OK = out.Status == orchard.Measured
	got.Reason, got.Mend, got.Flags, got.Measurements = out.Reason, out.Mend, out.Flags, out.Measurements
	return got
}

func printChecked(c *cli.Context, got checked) error {
	if c.Bool("json") {
		return json.NewEncoder(c.App.Writer).Encode(got)
	}
	line := badLine(got.Photo, "no: "+got.Reason, got.Mend)
	if got.OK {
		line = orchard.OneLine(got.Photo) + ": good: " + summary(got)
	}
	_, err := fmt.Fprintln(c.App.Writer, line)
	return err
}

// summary is the main number of a good photo, and what to mind.
func summary(got checked) string {
	main := map[orchard.Kind]orchard.Quantity{
		orchard.Floor: orchard.SunlitFraction, orchard.Side: orchard.HeightM, orchard.Alley: orchard.ClearWidthM,
		orchard.Up: orchard.ExpectedSunlitRef,
	}[got.Kind]
	parts := []string{string(got.Kind)}
	for _, m := range got.Measurements {
		if m.Quantity != main || m.AtM != nil {
			continue
		}
		if m.Value == nil {
			parts = append(parts, m.Absent)
			continue
		}
		if m.Unit == "1" {
			parts = append(parts, fmt.Sprintf("%.0f %% sunlit (%.0f to %.0f)", 100**m.Value, 100**m.Low95, 100**m.High95))
		} else {
			parts = append(parts, fmt.Sprintf("%.1f m (%.1f to %.1f)", *m.Value, *m.Low95, *m.High95))
		}
	}
	return strings.Join(append(parts, got.Flags...), "; ")
}

// threadsFor is how many threads OpenCV may spread one photo over: a photo a core
// does the spreading, but one photo alone has all cores. The numbers are the same.
func threadsFor(photos int) int {
	if photos == 1 {
		return runtime.GOMAXPROCS(0)
	}
	return 1
}
