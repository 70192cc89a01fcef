// Command demoorchard lays out the demo: an invented orchard with two visits of
// rendered photos, some of them bad on purpose.
//
//	go run ./cmd/demoorchard -out demo
//
// A photo that is there already is left alone, so a second run does nothing.
package main

import (
	"context"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	os.Exit(run(ctx, os.Args[1:], os.Stderr))
}

// options are the flags.
type options struct {
	out     string
	seed    uint64
	workers int
	quick   bool
	truth   bool
}

func run(ctx context.Context, args []string, words io.Writer) int {
	var o options
	f := flag.NewFlagSet("demoorchard", flag.ContinueOnError)
	f.SetOutput(words)
	f.StringVar(&o.out, "out", "", "folder to lay the orchard out in")
	f.Uint64Var(&o.seed, "seed", 1, "another number grows other trees")
	f.IntVar(&o.workers, "workers", runtime.NumCPU(), "photos drawn at once; each takes about 150 MB")
	f.BoolVar(&o.quick, "quick", false, "small pictures, for a look at the layout only: their markers are too small to measure by")
	f.BoolVar(&o.truth, "truth", false, "write what the geometry says beside each photo, as JSON, into truth/")
	if err := f.Parse(args); err != nil {
		return 2
	}
	if o.out == "" || f.NArg() > 0 || o.workers < 1 {
		fmt.Fprintln(words, "demoorchard: give the folder to lay out: -out FOLDER (and -workers of 1 or more)")
		return 2
	}
	if err := layOut(ctx, o, words); err != nil {
		fmt.Fprintf(words, "%v\n", err)
		if ctx.Err() != nil {
			return 130
		}
		return 1
	}
	return 0
}
