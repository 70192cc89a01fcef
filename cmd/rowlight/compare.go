package main

import (
	"encoding/json"
	"fmt"
	"path/filepath"
	"strings"
	"time"

	"github.com/urfave/cli/v2"

	"rowlight/internal/compare"
	"rowlight/internal/orchard"
	"rowlight/internal/pipeline"
)

func compareCommand() *cli.Command {
	return &cli.Command{
		Name:      "compare",
		Usage:     "what the pruning between two visits did",
		ArgsUsage: "FOLDER",
		Description: "Lays the photos of the same tree from two visits on each other: leaf removed, sun on the floor,\n" +
			"height, width, clear alley, wood bared to the sun; each change with its 95 % interval, no verdict\n" +
			"where it could be chance. Photos not measured yet are measured first. Writes compare-<before>.html,\n" +
			".csv and .json to FOLDER/results/<after>/.\n\n" +
			"Trees named by --untouched serve as control: what changed under them changed by itself.\n\n" +
			"Example:\n   rowlight compare --before 2026-08-20 --after 2026-09-24 --untouched b1-r01-t01,b1-r02-t02 my-orchard",
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "before", Usage: "the first visit"},
			&cli.StringFlag{Name: "after", Usage: "the second visit; the newest where not given"},
			&cli.StringFlag{Name: "untouched", Usage: "trees that were left alone, as b1-r01-t02,b1-r02-t05"},
			&cli.IntFlag{Name: "workers", Usage: "photos at once; 0 takes one a core"},
			&cli.BoolFlag{Name: "json", Usage: "print the comparison as JSON"},
		},
		OnUsageError: onUsageError,
		Action:       compareVisits,
	}
}

func compareVisits(c *cli.Context) error {
	dir, o, err := theOrchard(c)
	if err != nil {
		return err
	}
	before, after, err := twoVisits(c, dir)
	if err != nil {
		return err
	}
	untouched, err := treesNamed(c.String("untouched"), o)
	if err != nil {
		return err
	}
	plan, err := compare.ReadPlan(filepath.Join(dir, pipeline.ResultsDir, before, "plan.json"))
	if err != nil {
		return err
	}
	var visits [2]*orchard.VisitResult
	for i, visit := range [2]string{before, after} {
		if visits[i], err = assessed(c, dir, o, visit); err != nil {
			return err
		}
	}
	out := filepath.Join(dir, pipeline.ResultsDir, after)
	res, err := compare.Run(c.Context, compare.Options{
		Dir: dir, Orchard: o, Version: version, Before: visits[0], After: visits[1], Untouched: untouched,
		Plan: plan, OutDir: out, Workers: c.Int("workers"),
		Progress: func(done, total int) {
			if done == total || done%max(1, total/10) == 0 {
				fmt.Fprintf(c.App.ErrWriter, "%d of %d trees\n", done, total)
			}
		},
	})
	if err != nil {
		return err
	}
	page, err := compare.WriteFolder(out, res, o, time.Now().In(o.Place.Zone))
	if err != nil {
		return err
	}
	if c.Bool("json") {
		return json.NewEncoder(c.App.Writer).Encode(res)
	}
	if err := compare.WriteLines(c.App.Writer, res); err != nil {
		return err
	}
	_, err = fmt.Fprintf(c.App.Writer, "\nPage: %s\n", page)
	return err
}

// twoVisits reads --before and --after; both must be there.
func twoVisits(c *cli.Context, dir string) (before, after string, err error) {
	if before = c.String("before"); before == "" {
		return "", "", usageError{fmt.Errorf("compare: give the first visit with --before")}
	}
	if after, err = visitOr(c, "after", dir); err != nil {
		return "", "", err
	}
	if before == after {
		return "", "", usageError{fmt.Errorf("compare: --before and --after are both %s: name two visits", before)}
	}
	return before, after, nil
}

// treesNamed reads a list of trees as their photos are named.
func treesNamed(list string, o *orchard.Orchard) ([]orchard.TreeID, error) {
	var out []orchard.TreeID
	for _, name := range strings.FieldsFunc(list, func(r rune) bool { return r == ',' || r == ' ' }) {
		found := false
		for _, id := range o.Trees() {
			if strings.EqualFold(id.String(), name) {
				out, found = append(out, id), true
			}
		}
		if !found {
			return nil, usageError{fmt.Errorf("there is no tree %q: name trees as their photos are, as b1-r01-t02", name)}
		}
	}
	return out, nil
}

// assessed brings a visit's photos to numbers; what is there already is kept.
func assessed(c *cli.Context, dir string, o *orchard.Orchard, visit string) (*orchard.VisitResult, error) {
	show := newProgress(c.App.ErrWriter)
	fresh := func(e pipeline.Event) {
		if !e.Reused {
			show.photo(e)
		}
	}
	res, err := pipeline.Run(c.Context, pipeline.RunOptions{
		Dir: dir, Orchard: o, Visit: visit, Version: version, Workers: c.Int("workers"),
		Worker: ownWorker(c),
	}, fresh)
	show.end()
	if err != nil {
		return nil, err
	}
	for _, w := range res.Warnings {
		fmt.Fprintln(c.App.ErrWriter, w)
	}
	return &res.Visit, nil
}
