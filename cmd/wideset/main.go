// Command wideset draws photos of invented trees, with truth from their geometry,
// over a wider range of tree, light, floor and camera than anybody tuned on:
//
//	go run ./cmd/wideset -out DIR -seed N -floor 24 -side 24 -alley 24 -pairs
//	go run ./cmd/accuracy -truth DIR
//
// The set shows where measuring breaks; it never proves how exact it is, since
// whoever wrote the measuring code could have written the same mistake into it.
package main

import (
	"context"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"time"
)

// options is what the user asked for.
type options struct {
	out                string
	seed               uint64
	floor, side, alley int
	pairs, maps        bool
	longPx             int
	workers            int
}

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	code := run(ctx, os.Args[1:], os.Stderr)
	stop()
	os.Exit(code)
}

func run(ctx context.Context, args []string, stderr io.Writer) int {
	var o options
	f := flag.NewFlagSet("wideset", flag.ContinueOnError)
	f.SetOutput(stderr)
	f.StringVar(&o.out, "out", "wide", "folder to write to")
	f.Uint64Var(&o.seed, "seed", 1, "another seed, other photos")
	f.IntVar(&o.floor, "floor", 24, "floor photos")
	f.IntVar(&o.side, "side", 24, "side photos")
	f.IntVar(&o.alley, "alley", 24, "alley photos")
	f.BoolVar(&o.pairs, "pairs", false, "side and alley photos get a partner _b, a step to the side")
	f.BoolVar(&o.maps, "maps", false, "write what each pixel shows to STEM_class.png, upright")
	f.IntVar(&o.longPx, "long", 0, "longer side of every photo in pixels, 4:3; 0 draws format and size too")
	f.IntVar(&o.workers, "workers", 2, "photos drawn side by side (about 0.4 GB each)")
	if err := f.Parse(args); err != nil {
		return 2
	}
	start := time.Now()
	n, err := drawAll(ctx, o, stderr)
	if err != nil {
		fmt.Fprintln(stderr, "wideset:", err)
		return 1
	}
	fmt.Fprintf(stderr, "%d photos in %.0f s in %s: a robustness set, no proof of accuracy\n", n, time.Since(start).Seconds(), o.out)
	return 0
}
