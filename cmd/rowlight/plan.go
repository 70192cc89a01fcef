package main

import (
	"fmt"
	"path/filepath"
	"time"

	"github.com/urfave/cli/v2"

	"rowlight/internal/pipeline"
	"rowlight/internal/plan"
)

func planCommand() *cli.Command {
	return &cli.Command{
		Name:      "plan",
		Usage:     "which trees to prune, how much, where, which way, in what order",
		ArgsUsage: "FOLDER",
		Description: "Plans from the results of a visit (rowlight assess), from [plan] in orchard.toml and from marks.csv.\n" +
			"Writes plan.csv, plan.json and worksheet.pdf, a page a tree for the crew, to FOLDER/results/<visit>/.\n\n" +
			"Even thinning and one clear window bracket the truth. The formula cannot tell leaf from wood (a tenth\n" +
			"to a quarter of what shades is wood), nor whose shade it is under a low sun; leaf off the top lights\n" +
			"all that is under it, leaf off the skirt only its own spot. So a share is good to 5 to 8 points.\n\n" +
			"Example:\n   rowlight plan my-orchard\n   rowlight plan --trees 12 my-orchard\n" +
			"   rowlight plan --hours 40 --from 2026-08-24 my-orchard",
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "visit", Usage: "the visit's folder name; the newest where not given"},
			&cli.Float64Flag{Name: "hours", Usage: "hours of work there are; needs [plan.hours_per_tree] in orchard.toml"},
			&cli.IntFlag{Name: "trees", Usage: "trees to prune at most"},
			&cli.StringFlag{Name: "from", Usage: "first day of work, as 2026-08-24: dates the follow-up rounds"},
			&cli.BoolFlag{Name: "json", Usage: "print the trees to do as one JSON object a line"},
		},
		OnUsageError: onUsageError,
		Action:       makePlan,
	}
}

func makePlan(c *cli.Context) error {
	dir, o, err := theOrchard(c)
	if err != nil {
		return err
	}
	visit, err := visitOr(c, "visit", dir)
	if err != nil {
		return err
	}
	in, problems, err := plan.Load(dir, o, visit)
	if err != nil {
		return err
	}
	tell(c, problems)
	if err := limits(c, &in); err != nil {
		return err
	}
	p, err := plan.Build(in)
	if err != nil {
		return err
	}
	return writePlan(c, filepath.Join(dir, pipeline.ResultsDir, visit), dir, o, p)
}

// limits reads what bounds the work.
func limits(c *cli.Context, in *plan.Input) error {
	in.Version = version
	if c.IsSet("hours") {
		h := c.Float64("hours")
		in.MaxHours = &h
	}
	if c.IsSet("trees") {
		n := c.Int("trees")
		in.MaxTrees = &n
	}
	if from := c.String("from"); from != "" {
		day, err := time.Parse(time.DateOnly, from)
		if err != nil {
			return usageError{fmt.Errorf("--from %q: give a day, as 2026-08-24", from)}
		}
		in.From = day
	}
	if err := in.CheckLimits(); err != nil {
		return usageError{err}
	}
	return nil
}
