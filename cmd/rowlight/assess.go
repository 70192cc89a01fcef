package main

import (
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/urfave/cli/v2"

	"rowlight/internal/orchard"
	"rowlight/internal/pipeline"
	"rowlight/internal/report"
)

func assessCommand() *cli.Command {
	return &cli.Command{
		Name:      "assess",
		Usage:     "measure the photos of a visit and rank its trees",
		ArgsUsage: "FOLDER",
		Description: "Measures every photo in FOLDER/photos/<visit>/, ranks the trees, and writes tables, overlays and\n" +
			"report.html to FOLDER/results/<visit>/. A run that was stopped goes on where it stopped; photos\n" +
			"that have not changed are not measured again.\n\n" +
			"Example:\n   rowlight assess my-orchard\n   rowlight assess --visit 2026-08-14 my-orchard",
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "visit", Usage: "the visit's folder name; the newest where not given"},
			// One worker holds some 250 MB with a 12-megapixel photo.
			&cli.IntFlag{Name: "workers", Usage: "photos measured at once; 0 takes one a core"},
			&cli.DurationFlag{Name: "photo-limit", Value: pipeline.DefaultPhotoLimit, Usage: "give a photo up that takes longer"},
			&cli.BoolFlag{Name: "retry", Usage: "measure photos again that were given up: for a crash, for want of memory or time"},
			&cli.BoolFlag{Name: "json", Usage: "print the ranked trees as one JSON object a line"},
		},
		OnUsageError: onUsageError,
		Action:       assess,
	}
}

func assess(c *cli.Context) error {
	dir, err := oneFolder(c)
	if err != nil {
		return err
	}
	if c.Int("workers") < 0 {
		return usageError{fmt.Errorf("--workers %d: give 0 or more", c.Int("workers"))}
	}
	if c.Duration("photo-limit") <= 0 {
		return usageError{fmt.Errorf("--photo-limit %v: give a time, as 90s or 10m", c.Duration("photo-limit"))}
	}
	o, err := orchard.Load(dir)
	if err != nil {
		return err
	}
	visit, err := visitOr(c, "visit", dir)
	if err != nil {
		return err
	}
	out := filepath.Join(dir, pipeline.ResultsDir, visit)
	show := newProgress(c.App.ErrWriter)
	res, err := pipeline.Run(c.Context, pipeline.RunOptions{
		Dir: dir, Orchard: o, Visit: visit, Version: version, Workers: c.Int("workers"),
		Worker: ownWorker(c), PhotoLimit: c.Duration("photo-limit"), Retry: c.Bool("retry"),
		Write: func(res *pipeline.Result) error {
			return report.WriteFolder(out, &res.Visit, report.OptionsFor(o, time.Now().In(o.Place.Zone)))
		},
	}, show.photo)
	show.end()
	if res != nil {
		for _, w := range res.Warnings {
			fmt.Fprintln(c.App.ErrWriter, w)
		}
	}
	if err != nil {
		return err
	}
	return showResult(c, res, filepath.Join(out, report.HTMLName))
}

func showResult(c *cli.Context, res *pipeline.Result, page string) error {
	w := c.App.Writer
	if c.Bool("json") {
		if err := report.WriteTreeLines(w, &res.Visit); err != nil {
			return err
		}
	} else if err := report.WriteRanking(w, &res.Visit, terminalWidth(w)); err != nil {
		return err
	}
	listSunless(c.App.ErrWriter, res.Visit.Photos)
	bad := listBad(c.App.ErrWriter, res.Visit.Photos)
	if !c.Bool("json") {
		fmt.Fprintf(w, "\n%s measured now, %s kept from before, %s without a number.\nReport: %s\n",
			photos(res.Measured), photos(res.Reused), photos(bad), page)
	}
	if bad+res.Passed > 0 {
		return errSomeRefused
	}
	return nil
}

// listBad names each photo that gave no number, with the mend.
func listBad(w io.Writer, records []orchard.Record) int {
	n := 0
	for _, r := range records {
		if r.Status == orchard.Measured || r.Status == orchard.Card {
			continue
		}
		n++
		fmt.Fprintln(w, badLine(r.Path, r.Reason, r.Mend))
	}
	return n
}

// sunlessLines of photos without a sun are named; a visit sent by a messenger has
// only such photos.
const sunlessLines = 10

// listSunless names the floor photos whose share could not be brought to the
// common sun, and so does not count in the order, with the mend.
func listSunless(w io.Writer, records []orchard.Record) {
	n := 0
	for _, r := range records {
		share := r.Find(orchard.SunlitFractionRef)
		if r.Status != orchard.Measured || share == nil || share.Value != nil {
			continue
		}
		why := share.Absent
		if i := slices.IndexFunc(r.Flags, func(f string) bool { return strings.Contains(f, pipeline.SunUnknown) }); i >= 0 {
			why = r.Flags[i]
		}
		if n++; n <= sunlessLines {
			fmt.Fprintln(w, badLine(r.Path, "measured, but not counted in the order: "+why, ""))
		}
	}
	if n > sunlessLines {
		fmt.Fprintf(w, "and %s more measured, but not counted in the order for want of the sun: photos.csv names them\n", photos(n-sunlessLines))
	}
}

func badLine(path, reason, mend string) string {
	if mend == "" {
		return orchard.OneLine(path + ": " + reason)
	}
	return orchard.OneLine(path + ": " + reason + ": " + mend)
}

func photos(n int) string {
	if n == 1 {
		return "1 photo"
	}
	return fmt.Sprintf("%d photos", n)
}
