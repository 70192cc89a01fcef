package accuracy

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"text/tabwriter"

	"rowlight/calibrate"
	"rowlight/vision"
	"rowlight/vision/sideview"
)

// Dot is a point of a real orchard photo with what a person saw there
// (testdata/dots/README.md says how).
type Dot struct {
	Photo  string // within the folder of orchard rows
	At     calibrate.Pixel
	Label  string // foliage, wood, sky, ground, other
	Sure   bool
	Second string // a second look without sight of the first; empty for none
}

// dotClasses are the labels that are compared; fruit, wires and posts are
// "other", which the side view does not know.
var dotClasses = [...]string{"foliage", "wood", "sky", "ground"}

// ReadDots reads a file of labels.
func ReadDots(path string) ([]Dot, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("accuracy: read labels: %w", err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		return nil, fmt.Errorf("accuracy: read labels: %w", err)
	}
	var out []Dot
	for i, r := range rows {
		if i == 0 {
			continue
		}
		x, errX := strconv.Atoi(r[1])
		y, errY := strconv.Atoi(r[2])
		if err := errors.Join(errX, errY); err != nil {
			return nil, fmt.Errorf("accuracy: labels, line %d: %w", i+1, err)
		}
		out = append(out, Dot{r[0], calibrate.Pixel{X: float64(x), Y: float64(y)}, r[3], r[4] == "yes", r[5]})
	}
	return out, nil
}

// dotLines are where the ground begins and where the row's own foot lies, as
// shares of the photo's height, judged by eye: these photos show no board.
func dotLines(photo string) (level, foot float64) {
	switch photo {
	case "whole/DSC_1101_17kv4r27k.jpg":
		return 0.70, 1
	case "whole/DSC_1116_17kv8r3k.jpg":
		return 0.70, 0.93
	case "whole/DSC_1160_17kv7r24k.jpg":
		return 0.85, 0.95
	case "tiles/DSC_1049_17kv1r23k_10.jpg":
		return 0, 1
	}
	return 1, 1 // only trees and sky
}

// DotScore counts labels against what was said of the same points.
type DotScore struct {
	Count [len(dotClasses)][len(dotClasses) + 1]int // said: last is another class
}

func classIndex(label string) int {
	for i, c := range dotClasses {
		if c == label {
			return i
		}
	}
	return len(dotClasses)
}

func (s *DotScore) add(label, said string) {
	if i := classIndex(label); i < len(dotClasses) {
		s.Count[i][classIndex(said)]++
	}
}

// Agreement is the share of points on which both say the same, with Cohen's
// kappa: what is over chance of what could be over chance (Cohen 1960, Educ.
// Psychol. Meas. 20:37-46).
func (s *DotScore) Agreement() (share, kappa float64, n int) {
	var same, chance float64
	var row, col [len(dotClasses) + 1]float64
	for i := range s.Count {
		for j, c := range s.Count[i] {
			n += c
			row[i] += float64(c)
			col[j] += float64(c)
			if i == j {
				same += float64(c)
			}
		}
	}
	if n == 0 {
		return 0, 0, 0
	}
	t := float64(n)
	for i := range row {
		chance += row[i] * col[i] / t / t
	}
	return same / t, (same/t - chance) / (1 - chance), n
}

// Class is, of one class, how many points were labelled so, how many of these
// were called so, and how many were called so in all.
func (s *DotScore) Class(i int) (labelled, right, called int) {
	for k := range s.Count {
		called += s.Count[k][i]
	}
	for _, c := range s.Count[i] {
		labelled += c
	}
	return labelled, s.Count[i][i], called
}

// DotReport is the agreement on all points, on the sure ones, of the labels
// with themselves, and photo by photo.
type DotReport struct {
	All, Sure, Repeat DotScore
	Photos            []string
	ByPhoto           map[string]*DotScore
}

// JudgeDots classes the photos under dir and compares. Where the photos are not
// there the error is fs.ErrNotExist.
func JudgeDots(dir string, dots []Dot) (*DotReport, error) {
	r := &DotReport{ByPhoto: map[string]*DotScore{}}
	views := map[string]*sideview.View{}
	for _, d := range dots {
		v := views[d.Photo]
		if v == nil {
			p, err := vision.Load(filepath.Join(dir, filepath.FromSlash(d.Photo)))
			if err != nil {
				return nil, fmt.Errorf("accuracy: dots: %w", err)
			}
			level, foot := dotLines(d.Photo)
			h := float64(p.H)
			v = sideview.Look(p, sideview.Hints{
				HorizonY: func(float64) float64 { return level * h },
				FootY:    func(float64) float64 { return foot * h },
			})
			views[d.Photo] = v
			r.Photos, r.ByPhoto[d.Photo] = append(r.Photos, d.Photo), &DotScore{}
		}
		said := className(v, d.At)
		r.All.add(d.Label, said)
		r.ByPhoto[d.Photo].add(d.Label, said)
		if d.Sure {
			r.Sure.add(d.Label, said)
		}
		if d.Second != "" {
			r.Repeat.add(d.Label, d.Second)
		}
	}
	return r, nil
}

func className(v *sideview.View, at calibrate.Pixel) string {
	switch c, _ := v.AtPhoto(at); c {
	case sideview.Sky:
		return "sky"
	case sideview.Foliage:
		return "foliage"
	case sideview.Wood:
		return "wood"
	case sideview.Ground:
		return "ground"
	}
	return ""
}

// PrintDots writes the agreement with the labels under labels on the photos
// under dir, or says that they are not on this machine.
func PrintDots(w io.Writer, dir, labels string) error {
	dots, err := ReadDots(labels)
	if err != nil {
		return err
	}
	r, err := JudgeDots(dir, dots)
	if errors.Is(err, fs.ErrNotExist) {
		_, err := fmt.Fprintln(w, "real orchard rows: the photos are not on this machine; the hand labels are NOT compared")
		return err
	}
	if err != nil {
		return err
	}
	fmt.Fprintln(w, "real orchard rows, points labelled by eye (testdata/dots): foliage, wood, sky, ground")
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "points\tcount\tagree\tkappa")
	line := func(name string, s *DotScore) {
		share, kappa, n := s.Agreement()
		fmt.Fprintf(t, "%s\t%d\t%.1f %%\t%.2f\n", name, n, 100*share, kappa)
	}
	line("all", &r.All)
	line("sure", &r.Sure)
	line("labels against their second look", &r.Repeat)
	for _, p := range r.Photos {
		line(p, r.ByPhoto[p])
	}
	fmt.Fprintln(t, "class\tlabelled\tfound\tof what is called it")
	for i, c := range dotClasses {
		labelled, right, called := r.All.Class(i)
		fmt.Fprintf(t, "%s\t%d\t%.1f %%\t%.1f %%\n", c, labelled, percent(right, labelled), percent(right, called))
	}
	return t.Flush()
}

func percent(a, b int) float64 {
	if b == 0 {
		return 0
	}
	return 100 * float64(a) / float64(b)
}
