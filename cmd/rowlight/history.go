package main

import (
	"fmt"
	"path/filepath"
	"strings"
	"time"

	"github.com/urfave/cli/v2"

	"rowlight/internal/history"
	"rowlight/internal/orchard"
	"rowlight/internal/pipeline"
)

func historyCommand() *cli.Command {
	return &cli.Command{
		Name:      "history",
		Usage:     "all visits of a tree or block, its regrowth, and when it is due again",
		ArgsUsage: "FOLDER",
		Description: "Strings all visits together: sun on the floor, height and clear alley of each tree and block, the\n" +
			"regrowth learned from trees read twice without a cut between, and when the floor's light will fall\n" +
			"under its target again, as an interval. Photos not measured yet are measured first. Writes\n" +
			"history.html and history.json to FOLDER/results/.\n\n" +
			"Example:\n   rowlight history my-orchard\n   rowlight history --of b1-r01-t02 my-orchard",
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "of", Usage: "show only this tree (b1-r01-t02) or block (b1); all blocks where not given"},
			&cli.IntFlag{Name: "workers", Usage: "photos measured at once; 0 takes one a core"},
			&cli.BoolFlag{Name: "json", Usage: "print the history as JSON"},
		},
		OnUsageError: onUsageError,
		Action:       showHistory,
	}
}

func showHistory(c *cli.Context) error {
	dir, o, err := theOrchard(c)
	if err != nil {
		return err
	}
	in := history.Input{Orchard: o, Version: version}
	if in.Visits, err = allVisits(c, dir, o); err != nil {
		return err
	}
	var problems orchard.Problems
	if in.Marks, problems, err = orchard.LoadMarks(dir, o); err != nil {
		return err
	}
	tell(c, problems)
	h := history.Build(in)
	page, err := history.WriteFolder(filepath.Join(dir, pipeline.ResultsDir), h, time.Now().In(o.Place.Zone))
	if err != nil {
		return err
	}
	if c.Bool("json") {
		return history.WriteJSON(c.App.Writer, h)
	}
	ok, err := history.WriteLines(c.App.Writer, h, strings.ToLower(c.String("of")))
	if err != nil {
		return err
	}
	if !ok {
		return usageError{fmt.Errorf("--of %q: no such tree or block was measured at any visit: name trees as their photos are, as b1-r01-t02", c.String("of"))}
	}
	_, err = fmt.Fprintf(c.App.Writer, "Page: %s\n", page)
	return err
}

// allVisits brings every visit's photos to numbers.
func allVisits(c *cli.Context, dir string, o *orchard.Orchard) ([]*orchard.VisitResult, error) {
	names, problems, err := orchard.Visits(dir)
	if err != nil {
		return nil, err
	}
	tell(c, problems)
	if len(names) == 0 {
		return nil, fmt.Errorf("%s has no visit yet: put photos into %s", dir, filepath.Join(dir, orchard.PhotosDir, "2026-03-14"))
	}
	var out []*orchard.VisitResult
	for _, name := range names {
		v, err := assessed(c, dir, o, name)
		if err != nil {
			return nil, err
		}
		out = append(out, v)
	}
	return out, nil
}
