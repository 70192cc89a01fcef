package main

import (
	"fmt"
	"os"
	"time"

	"golang.org/x/sync/errgroup"

	"rowlight/internal/accuracy"
)

// judgeStereo measures the stereo pairs of a folder.
func judgeStereo(dir string) ([]accuracy.Row, error) {
	pairs, err := accuracy.StereoCases(dir)
	if err != nil {
		return nil, err
	}
	results := make([][]accuracy.Row, len(pairs))
	var g errgroup.Group
	g.SetLimit(2) // one pair a core of the smallest machine in use
	start := time.Now()
	for i, p := range pairs {
		g.Go(func() error {
			var err error
			results[i], err = accuracy.JudgeStereo(p)
			return err
		})
	}
	if err := g.Wait(); err != nil {
		return nil, err
	}
	var rows []accuracy.Row
	for _, r := range results {
		rows = append(rows, r...)
	}
	fmt.Fprintf(os.Stderr, "%d pairs in %.0f s\n", len(pairs), time.Since(start).Seconds())
	return rows, nil
}
