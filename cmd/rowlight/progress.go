package main

import (
	"fmt"
	"io"
	"os"

	"github.com/schollz/progressbar/v3"
	"golang.org/x/term"

	"rowlight/internal/pipeline"
)

// progress shows how far a run is: a bar with rate and time left on a terminal,
// a plain line every tenth of the way elsewhere.
type progress struct {
	w   io.Writer
	tty bool
	bar *progressbar.ProgressBar
}

func newProgress(w io.Writer) *progress {
	return &progress{w: behind(w), tty: isTerminal(w)}
}

func (p *progress) photo(e pipeline.Event) {
	if !p.tty {
		step := max(1, e.Total/10)
		if e.Done%step == 0 || e.Done == e.Total {
			fmt.Fprintf(p.w, "%d of %d photos\n", e.Done, e.Total)
		}
		return
	}
	if p.bar == nil {
		p.bar = progressbar.NewOptions(e.Total,
			progressbar.OptionSetWriter(p.w),
			progressbar.OptionSetDescription("measuring"),
			progressbar.OptionShowCount(),
			progressbar.OptionShowIts(),
			progressbar.OptionSetItsString("photos"),
			progressbar.OptionSetPredictTime(true),
			progressbar.OptionFullWidth(),
		)
	}
	_ = p.bar.Set(e.Done) // a bar that cannot be drawn must not stop the run
}

func (p *progress) end() {
	if p.bar != nil {
		_ = p.bar.Exit()
		fmt.Fprintln(p.w)
	}
}

func isTerminal(w io.Writer) bool {
	f, ok := behind(w).(*os.File)
	return ok && term.IsTerminal(int(f.Fd()))
}

// plainWidth is how wide a table is where there is no terminal to ask.
const plainWidth = 100

func terminalWidth(w io.Writer) int {
	f, ok := behind(w).(*os.File)
	if !ok {
		return plainWidth
	}
	width, _, err := term.GetSize(int(f.Fd()))
	if err != nil || width < 40 {
		return plainWidth
	}
	return width
}
