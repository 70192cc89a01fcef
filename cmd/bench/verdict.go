package main

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"text/tabwriter"
)

// The bounds of issue 6, "Must reach".
const (
	mostOverDecoding = 2.0 // b/a
	leastOverPlain   = 5.0 // c/b
	mostMiB          = 600.0
	mostGrowth       = 1.10 // cost a photo, dearest count over cheapest
	leastSpeedUp     = 1.7  // two workers over one
)

// verdict is one bound with what was found.
type verdict struct {
	What     string
	Found    float64 // NaN: not measured
	FoundCPU float64 // the same by processor seconds; NaN: makes no sense
	Limit    float64
	AtLeast  bool
	Unit     string
}

// missed tells whether what was found lies beyond the limit; what was not measured is not
// missed.
func (v verdict) missed() bool {
	if v.AtLeast {
		return v.Found < v.Limit
	}
	return v.Found > v.Limit
}

func (v verdict) word() string {
	switch {
	case math.IsNaN(v.Found):
		return "not measured"
	case v.missed():
		return "MISSED"
	}
	return "holds"
}

// judge sets the figures against the bounds. The decoding that counts is OpenCV's, whose
// figures the bounds were made with; that with our own decoder, which is quicker, stands
// beside it.
func judge(m *measured) []verdict {
	nan := math.NaN()
	first := m.Assess[0]
	byOpenCV := verdict{What: "(b) over (a), OpenCV's decoder", Found: nan, FoundCPU: nan, Limit: mostOverDecoding}
	byPlain := verdict{What: "(c) over (b)", Found: nan, FoundCPU: nan, Limit: leastOverPlain, AtLeast: true}
	if d := m.DecodeOpenCV; d != nil {
		byOpenCV.Found, byOpenCV.FoundCPU = first.Each()/d.Each(), first.EachCPU()/d.EachCPU()
	}
	if p := m.Plain; p != nil {
		byPlain.Found, byPlain.FoundCPU = p.Each()/first.Each(), p.EachCPU()/first.EachCPU()
	}
	peak := 0.0
	for _, s := range m.Assess {
		peak = max(peak, s.PeakMiB)
	}
	wall, cpu := growth(m.Assess, spent.Each), growth(m.Assess, spent.EachCPU)
	return []verdict{byOpenCV, byPlain,
		{What: "peak memory of (b)", Found: peak, FoundCPU: nan, Limit: mostMiB, Unit: " MiB"},
		{What: "cost a photo, dearest count over cheapest", Found: wall, FoundCPU: cpu, Limit: mostGrowth},
		{What: fmt.Sprintf("%d workers over 1, photos a second", first.Workers), Found: speedUp(m), FoundCPU: nan, Limit: leastSpeedUp, AtLeast: true},
	}
}

// growth is the dearest run's cost a photo over the cheapest's; NaN of one run.
func growth(runs []spent, cost func(spent) float64) float64 {
	if len(runs) < 2 {
		return math.NaN()
	}
	var all []float64
	for _, r := range runs {
		all = append(all, cost(r))
	}
	return slices.Max(all) / slices.Min(all)
}

// speedUp is NaN but for two workers: the bound speaks of two.
func speedUp(m *measured) float64 {
	if m.Assess[0].Workers != 2 {
		return math.NaN()
	}
	return m.AssessOne.Each() / m.Assess[0].Each()
}

// busyLoad of the machine when the bench began: others' work is in its clock.
const busyLoad = 0.5

// write prints the table of runs and the verdicts.
func write(w io.Writer, m *measured, verdicts []verdict) error {
	fmt.Fprintf(w, "\n%s on %s. 12-megapixel photos of floor, side and alley in turn, %d scenes, %.1f MB a file, all in the page cache.\n",
		m.Version, orUnknown(m.Processor), m.Scenes, float64(m.PhotoBytes)/1e6)
	if m.Load > busyLoad {
		fmt.Fprintf(w, "The machine was busy when it began (load %.1f): the clock tells little, processor seconds more.\n", m.Load)
	}
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(t, "\nwhat\tphotos\tat once\tseconds\tphotos/s\ts a photo\tCPU s a photo\tpeak MiB\t")
	line := func(what string, s spent) {
		peak := "-"
		if s.PeakMiB > 0 {
			peak = fmt.Sprintf("%.0f", s.PeakMiB)
		}
		fmt.Fprintf(t, "%s\t%d\t%d\t%.1f\t%.2f\t%.4f\t%.4f\t%s\t\n", what, s.Photos, s.Workers, s.Wall.Seconds(), s.PerSecond(), s.Each(), s.EachCPU(), peak)
	}
	line("(a) decode, as assess does", m.DecodeOurs)
	if m.DecodeOpenCV != nil {
		line("(a) decode, OpenCV's imread", *m.DecodeOpenCV)
	}
	for _, s := range m.Assess {
		line("(b) rowlight assess", s)
	}
	line("(b) rowlight assess", m.AssessOne)
	if m.Plain != nil {
		line("(c) plain Python", *m.Plain)
	}
	if err := t.Flush(); err != nil {
		return err
	}
	fmt.Fprintf(w, "\nNumbers from %d of %d photos in (b)", m.GaveNumbers, m.Assess[0].Photos)
	if m.Plain != nil {
		fmt.Fprintf(w, ", %d in (c)", m.PlainGave)
	}
	fmt.Fprintf(w, ". (b) over (a) with our own decoder: %.2f, by processor seconds %.2f.\n\n",
		m.Assess[0].Each()/m.DecodeOurs.Each(), m.Assess[0].EachCPU()/m.DecodeOurs.EachCPU())
	return writeVerdicts(w, m.Notes, verdicts)
}

func writeVerdicts(w io.Writer, notes []string, verdicts []verdict) error {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "bound\tfound\tby CPU seconds\tlimit\t")
	number := func(v float64, unit string) string {
		if math.IsNaN(v) {
			return "-"
		}
		if unit != "" {
			return fmt.Sprintf("%.0f%s", v, unit)
		}
		return fmt.Sprintf("%.2f", v)
	}
	for _, v := range verdicts {
		limit := "at most "
		if v.AtLeast {
			limit = "at least "
		}
		fmt.Fprintf(t, "%s\t%s\t%s\t%s%s\t%s\n", v.What, number(v.Found, v.Unit), number(v.FoundCPU, v.Unit), limit, number(v.Limit, v.Unit), v.word())
	}
	if err := t.Flush(); err != nil {
		return err
	}
	for _, n := range notes {
		fmt.Fprintln(w, n)
	}
	return nil
}

func orUnknown(s string) string {
	if strings.TrimSpace(s) == "" {
		return "a processor of unknown name"
	}
	return s
}
