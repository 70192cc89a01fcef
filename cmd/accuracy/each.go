package main

import (
	"fmt"
	"os"
	"slices"
	"time"

	"golang.org/x/sync/errgroup"

	"rowlight/internal/accuracy"
)

// atOnce: one case a core of the smallest machine in use.
const atOnce = 2

// judgeEach judges cases side by side, in their order, and says on stderr how long
// it took; what names them there.
func judgeEach[C any](cases []C, what string, judge func(C) ([]accuracy.Row, error)) ([]accuracy.Row, error) {
	results := make([][]accuracy.Row, len(cases))
	var g errgroup.Group
	g.SetLimit(atOnce)
	start := time.Now()
	for i, c := range cases {
		g.Go(func() (err error) {
			results[i], err = judge(c)
			return err
		})
	}
	if err := g.Wait(); err != nil {
		return nil, err
	}
	fmt.Fprintf(os.Stderr, "%d %s in %.0f s\n", len(cases), what, time.Since(start).Seconds())
	return slices.Concat(results...), nil
}
