// Command bench holds rowlight assess against what it cannot do without, reading the
// photos, and against a plain Python script, on the same files and cores (make bench):
//
//	go run ./cmd/wideset -out bench/scenes -seed 167 -floor 6 -side 6 -alley 6 -long 4000
//	go run ./cmd/bench -dir bench -counts "100 1000 5000"
//
// (a) decodes each photo in full, (b) is the whole of rowlight assess with overlays and
// report, (c) is testdata/bench/plain.py. A timing is not a test: the exit status tells
// of missed bounds only under -strict.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"slices"
	"strconv"
	"strings"
)

// options is what the user asked for.
type options struct {
	dir      string // work folder; scenes lie in it
	rowlight string // the program
	python   string // interpreter with OpenCV and scikit-image
	script   string // (c)
	counts   []int  // photos, rising
	workers  int
	perKind  int // scenes of each kind
	strict   bool
}

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	code := run(ctx, os.Args[1:], os.Stdout, os.Stderr)
	stop()
	os.Exit(code)
}

func run(ctx context.Context, args []string, stdout, stderr io.Writer) int {
	o, err := parse(args, stderr)
	if err != nil {
		if !errors.Is(err, flag.ErrHelp) {
			fmt.Fprintln(stderr, "bench:", err)
		}
		return 2
	}
	m, err := measureAll(ctx, o, stderr)
	if err != nil {
		fmt.Fprintln(stderr, "bench:", err)
		return 1
	}
	verdicts := judge(m)
	if err := write(stdout, m, verdicts); err != nil {
		fmt.Fprintln(stderr, "bench:", err)
		return 1
	}
	if o.strict && slices.ContainsFunc(verdicts, verdict.missed) {
		return 1
	}
	return 0
}

func parse(args []string, stderr io.Writer) (options, error) {
	var o options
	var counts string
	f := flag.NewFlagSet("bench", flag.ContinueOnError)
	f.SetOutput(stderr)
	f.StringVar(&o.dir, "dir", "bench", "work folder; DIR/scenes holds what cmd/wideset drew")
	f.StringVar(&o.rowlight, "rowlight", "bin/rowlight", "the program to measure")
	f.StringVar(&o.python, "python", "/usr/bin/python3", "Python with OpenCV and scikit-image")
	f.StringVar(&o.script, "script", "testdata/bench/plain.py", "the plain script")
	f.StringVar(&counts, "counts", "100 300", "how many photos, one number or several; the first is what all three do")
	f.IntVar(&o.workers, "workers", 2, "photos at once, in all three")
	f.IntVar(&o.perKind, "scenes", 5, "distinct scenes of each kind")
	f.BoolVar(&o.strict, "strict", false, "exit status 1 where a bound is missed")
	if err := f.Parse(args); err != nil {
		return o, err
	}
	if f.NArg() > 0 || o.workers < 1 || o.perKind < 1 {
		return o, fmt.Errorf("give options only, -workers and -scenes of 1 or more")
	}
	var err error
	o.counts, err = parseCounts(counts)
	return o, err
}

// mostPhotos keeps a slip of the finger from filling the disk.
const mostPhotos = 20000

// parseCounts reads "100 1000" or "100,1000", and sorts them.
func parseCounts(s string) ([]int, error) {
	var out []int
	for _, word := range strings.FieldsFunc(s, func(r rune) bool { return r == ' ' || r == ',' }) {
		n, err := strconv.Atoi(word)
		if err != nil || n < len(kinds()) || n > mostPhotos {
			return nil, fmt.Errorf("%q is no count of photos: give numbers from %d to %d, as \"100 1000\"", word, len(kinds()), mostPhotos)
		}
		out = append(out, n)
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("no count of photos given: as \"100 1000\"")
	}
	slices.Sort(out)
	return slices.Compact(out), nil
}
