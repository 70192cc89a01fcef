package main

import (
	"context"
	"encoding/csv"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"rowlight/internal/orchard"
	"rowlight/internal/report"
)

// measured is everything that a bench found.
type measured struct {
	Version, Processor string
	Load               float64 // of the machine, when it began
	Scenes             int
	PhotoBytes         int64 // mean of a file
	DecodeOurs         spent
	DecodeOpenCV       *spent  // nil: no Python with OpenCV
	Assess             []spent // a run a count, with all workers
	AssessOne          spent   // the first count with one worker
	Plain              *spent  // nil: no Python with OpenCV and scikit-image
	GaveNumbers        int     // photos of the first count that assess got numbers from
	PlainGave          int     // and the script
	Notes              []string
}

// bench is one run of it.
type bench struct {
	options
	c     *corpus
	words io.Writer
	m     *measured
}

func measureAll(ctx context.Context, o options, words io.Writer) (*measured, error) {
	by, err := scenes(filepath.Join(o.dir, "scenes"), o.perKind)
	if err != nil {
		return nil, err
	}
	b := &bench{options: o, words: words, m: &measured{Scenes: o.perKind * len(kinds())}}
	b.m.Processor, b.m.Load = machine()
	most := slices.Max(o.counts)
	fmt.Fprintf(words, "laying out %d photos\n", most)
	if b.c, err = lay(o.dir, by, most); err != nil {
		return nil, err
	}
	defer b.c.remove()
	b.m.PhotoBytes = b.c.bytes / int64(most)
	for _, step := range []func(context.Context) error{b.version, b.turns} {
		if err := step(ctx); err != nil {
			return nil, err
		}
	}
	return b.m, nil
}

func (b *bench) version(ctx context.Context) error {
	_, said, err := command(ctx, []int{0}, b.rowlight, "--version")
	b.m.Version = strings.TrimSpace(said)
	return err
}

// turnsLeast: a processor's own speed may drift by a fifth within minutes, so everything on
// the first count of photos takes turns, and of each the middle one counts.
const turnsLeast = 3

// turn is everything on the first count of photos, once.
type turn struct {
	ours, openCV, assess, assessOne, plain spent
}

// turns take the larger counts between them, so that these are held against times around
// their own.
func (b *bench) turns(ctx context.Context) error {
	b.python = b.pythonOr(ctx)
	var all []turn
	larger := b.counts[1:]
	for len(all) < turnsLeast || len(larger) > 0 {
		t, err := b.turn(ctx)
		if err != nil {
			return err
		}
		all = append(all, t)
		if len(larger) == 0 {
			continue
		}
		s, _, err := b.assessOnce(ctx, larger[0], b.workers)
		if err != nil {
			return err
		}
		b.m.Assess = append(b.m.Assess, s)
		larger = larger[1:]
	}
	b.m.DecodeOurs = middle(all, func(t turn) spent { return t.ours })
	b.m.Assess = append([]spent{middle(all, func(t turn) spent { return t.assess })}, b.m.Assess...)
	b.m.AssessOne = middle(all, func(t turn) spent { return t.assessOne })
	if b.python != "" {
		openCV, plain := middle(all, func(t turn) spent { return t.openCV }), middle(all, func(t turn) spent { return t.plain })
		b.m.DecodeOpenCV, b.m.Plain = &openCV, &plain
	}
	return nil
}

// pythonOr is the interpreter where it has what the script needs, else nothing, and a note.
func (b *bench) pythonOr(ctx context.Context) string {
	_, _, err := b.runScript(ctx, b.c.files[:1], "--decode")
	if err == nil {
		return b.python
	}
	b.m.Notes = append(b.m.Notes, fmt.Sprintf("no figure of OpenCV's decoder and of the plain script: %v (Debian and Ubuntu: apt-get install python3-opencv python3-skimage)", err))
	return ""
}

func (b *bench) turn(ctx context.Context) (t turn, err error) {
	count := b.counts[0]
	files := b.c.files[:count]
	fmt.Fprintf(b.words, "(a) decoding %d photos\n", count)
	if err := readThrough(files); err != nil {
		return t, err
	}
	if t.ours, err = decodeOurs(ctx, files, b.workers); err != nil {
		return t, err
	}
	if b.python != "" {
		if t.openCV, err = b.decodeOpenCV(ctx, files); err != nil {
			return t, err
		}
	}
	if t.assess, b.m.GaveNumbers, err = b.assessOnce(ctx, count, b.workers); err != nil {
		return t, err
	}
	if b.python != "" {
		if t.plain, b.m.PlainGave, err = b.plain(ctx, files); err != nil {
			return t, err
		}
	}
	t.assessOne, _, err = b.assessOnce(ctx, count, 1)
	return t, err
}

// decodeOpenCV takes the script's own count of seconds, which leaves out its start, as
// ours is left out.
func (b *bench) decodeOpenCV(ctx context.Context, files []string) (spent, error) {
	s, line, err := b.runScript(ctx, files, "--decode")
	s.Wall, s.CPU, s.PeakMiB = line.wall, line.cpu, 0
	return s, err
}

// middle is, of one thing of each turn, the one whose wall-clock time is the median.
func middle(all []turn, of func(turn) spent) spent {
	runs := make([]spent, len(all))
	for i, t := range all {
		runs[i] = of(t)
	}
	slices.SortFunc(runs, func(a, b spent) int { return int(a.Wall - b.Wall) })
	return runs[len(runs)/2]
}

// assess ends with 3 where photos were refused, which all the same were worked on.
const exitSomeRefused = 3

func (b *bench) assessOnce(ctx context.Context, count, workers int) (s spent, gaveNumbers int, err error) {
	fmt.Fprintf(b.words, "(b) rowlight assess, %d photos, %d at once\n", count, workers)
	dir, err := b.c.orchardOf(count)
	if err != nil {
		return s, 0, err
	}
	if err := readThrough(b.c.files[:count]); err != nil {
		return s, 0, err
	}
	s, _, err = command(ctx, []int{0, exitSomeRefused}, b.rowlight, "assess", "--workers", fmt.Sprint(workers), "--visit", visitName, dir)
	if err != nil {
		return s, 0, err
	}
	s.Photos, s.Workers = count, workers
	gaveNumbers, err = workDone(filepath.Join(dir, "results", visitName), count)
	return s, gaveNumbers, err
}

// workDone counts the photos that gave numbers and sees that all were measured: a row
// each, an overlay for each that gave numbers, and the report.
func workDone(results string, count int) (gaveNumbers int, err error) {
	f, err := os.Open(filepath.Join(results, report.PhotosCSVName))
	if err != nil {
		return 0, err
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		return 0, err
	}
	if len(rows) != count+1 {
		return 0, fmt.Errorf("assess wrote %d rows for %d photos", len(rows)-1, count)
	}
	status, overlay := slices.Index(rows[0], "status"), slices.Index(rows[0], "overlay")
	if status < 0 || overlay < 0 {
		return 0, fmt.Errorf("%s has no column status or overlay", report.PhotosCSVName)
	}
	for _, row := range rows[1:] {
		if row[status] != string(orchard.Measured) {
			continue
		}
		gaveNumbers++
		if _, err := os.Stat(filepath.Join(results, filepath.FromSlash(row[overlay]))); err != nil {
			return 0, fmt.Errorf("a measured photo has no overlay: %w", err)
		}
	}
	_, err = os.Stat(filepath.Join(results, report.HTMLName))
	return gaveNumbers, err
}

// plain is (c); good is how many photos it got numbers from.
func (b *bench) plain(ctx context.Context, files []string) (whole spent, good int, err error) {
	fmt.Fprintf(b.words, "(c) plain script, %d photos\n", len(files))
	if err := readThrough(files); err != nil {
		return whole, 0, err
	}
	out := filepath.Join(b.dir, "plain")
	defer os.RemoveAll(out)
	whole, line, err := b.runScript(ctx, files, "--out", out)
	return whole, line.good, err
}

// runScript runs the plain script over some photos.
func (b *bench) runScript(ctx context.Context, files []string, args ...string) (spent, plainLine, error) {
	list := filepath.Join(b.dir, "photos.txt")
	if err := os.WriteFile(list, []byte(strings.Join(files, "\n")), 0o644); err != nil {
		return spent{}, plainLine{}, err
	}
	defer os.Remove(list)
	args = append([]string{b.script, "--jobs", fmt.Sprint(b.workers), "--list", list}, args...)
	s, said, err := command(ctx, []int{0}, b.python, args...)
	if err != nil {
		return s, plainLine{}, err
	}
	line, err := parsePlain(said)
	if err == nil && line.photos != len(files) {
		err = fmt.Errorf("the plain script worked on %d of %d photos", line.photos, len(files))
	}
	s.Photos, s.Workers = len(files), b.workers
	return s, line, err
}
