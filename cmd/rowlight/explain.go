package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/urfave/cli/v2"

	"rowlight/internal/orchard"
	"rowlight/internal/pipeline"
	"rowlight/internal/report"
)

func explainCommand() *cli.Command {
	return &cli.Command{
		Name:      "explain",
		Usage:     "where a tree's numbers come from, and what their intervals are made of",
		ArgsUsage: "FOLDER TREE",
		Description: "Prints every number of a tree (named as its photos are, b1-r03-t11) from the results of a visit\n" +
			"(rowlight assess): value, 95 % interval, the interval's parts by name, and the photos.\n\n" +
			"Example:\n   rowlight explain my-orchard b1-r03-t11",
		Flags:        []cli.Flag{&cli.StringFlag{Name: "visit", Usage: "the visit's folder name; the newest where not given"}},
		OnUsageError: onUsageError,
		Action:       explainTree,
	}
}

func explainTree(c *cli.Context) error {
	dir, name, o, err := theOrchardAnd(c, "a tree")
	if err != nil {
		return err
	}
	ids, err := treesNamed(name, o)
	if err != nil {
		return err
	}
	if len(ids) != 1 {
		return usageError{fmt.Errorf("explain takes one tree, as b1-r03-t11")}
	}
	visit, err := visitOr(c, "visit", dir)
	if err != nil {
		return err
	}
	res, err := readResults(dir, visit)
	if err != nil {
		return err
	}
	return report.WriteExplain(c.App.Writer, res, ids[0])
}

func readResults(dir, visit string) (*orchard.VisitResult, error) {
	f, err := os.Open(filepath.Join(dir, pipeline.ResultsDir, visit, report.JSONName))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("visit %s has no results yet: run rowlight assess --visit %s %s", visit, visit, dir)
	}
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return report.ReadJSON(f)
}
