package accuracy

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"text/tabwriter"

	"rowlight/internal/compare"
	"rowlight/internal/orchard"
	"rowlight/internal/pipeline"
	"rowlight/metrics"
)

// The bounds of issue 5, must hold 1, as shares.
const (
	leafWithin  = 0.06
	fleckWithin = 0.03
)

// PairRow is one number of a pair of photos of one tree.
type PairRow struct {
	Name     string
	Quantity string
	Truth    float64
	Bound    float64 // most error; 0: no change may be claimed
	Low95    float64
	High95   float64
	Value    float64
	Refused  string // why there is no number
}

// Holds tells whether the bound is kept.
func (r PairRow) Holds() bool {
	if r.Refused != "" {
		return false
	}
	if r.Bound == 0 {
		return r.Low95 <= 0 && r.High95 >= 0
	}
	return math.Abs(r.Value-r.Truth) <= r.Bound
}

type pairTruth struct {
	Pair *struct {
		Removed float64 `json:"leaf_area_removed_share"`
		Before  float64 `json:"sun_fraction_1p5m_before"`
		After   float64 `json:"sun_fraction_1p5m_after"`
	} `json:"pair"`
}

// JudgePairs compares every before-and-after pair of a folder (STEM_side_before.jpg,
// ..._after.jpg, and floor alike), and every side and alley photo with its second
// (STEM_b.jpg) of the same untouched tree.
func JudgePairs(dir string) ([]PairRow, error) {
	var rows []PairRow
	pairs, err := filepath.Glob(filepath.Join(dir, "*_side_before.jpg"))
	if err != nil {
		return nil, fmt.Errorf("accuracy: list %s: %w", dir, err)
	}
	for _, p := range pairs {
		got, err := judgePair(strings.TrimSuffix(p, "_side_before.jpg"))
		if err != nil {
			return nil, err
		}
		rows = append(rows, got...)
	}
	seconds, err := filepath.Glob(filepath.Join(dir, "*_b.jpg"))
	if err != nil {
		return nil, fmt.Errorf("accuracy: list %s: %w", dir, err)
	}
	for _, s := range seconds {
		rows = append(rows, judgeUntouched(strings.TrimSuffix(s, "_b.jpg")+".jpg", s)...)
	}
	return rows, nil
}

func judgePair(stem string) ([]PairRow, error) {
	name := filepath.Base(stem)
	data, err := os.ReadFile(stem + "_side_before.json")
	if err != nil {
		return nil, fmt.Errorf("accuracy: read truth: %w", err)
	}
	var t pairTruth
	if err := json.Unmarshal(data, &t); err != nil || t.Pair == nil {
		return nil, fmt.Errorf("accuracy: %s_side_before.json: no truth of a pair: %w", name, err)
	}
	leaf := sideRow(name, stem+"_side_before.jpg", stem+"_side_after.jpg")[0]
	leaf.Truth, leaf.Bound = t.Pair.Removed, leafWithin
	fleck := floorRow(name, stem+"_floor_before.jpg", stem+"_floor_after.jpg")
	fleck.Truth, fleck.Bound = t.Pair.After-t.Pair.Before, fleckWithin
	return []PairRow{leaf, fleck}, nil
}

// sideRow is the leaf and the outline removed between two side photos, and the
// change of height and width.
func sideRow(name, before, after string) []PairRow {
	leaf, outline := PairRow{Name: name, Quantity: "leaf removed"}, PairRow{Name: name, Quantity: "outline removed"}
	height, width := PairRow{Name: name, Quantity: "height change"}, PairRow{Name: name, Quantity: "width change"}
	c, err := compare.Sides(before, after, pipeline.Env{Set: pipeline.DefaultSettings()})
	if err != nil {
		leaf.Refused, outline.Refused = err.Error(), err.Error()
		return []PairRow{leaf, outline}
	}
	leaf.take(c.LeafRemoved)
	outline.take(c.OutlineRemoved)
	if !c.SizeKnown {
		return []PairRow{leaf, outline}
	}
	height.take(c.HeightM)
	width.take(c.WidthM)
	return []PairRow{leaf, outline, height, width}
}

func (r *PairRow) take(e metrics.Estimate) { r.Value, r.Low95, r.High95 = e.Value, e.Low95, e.High95 }

// floorRow is the change of the sunlit share as photographed, which the truth is
// given for; the normalised change goes with the interval of the tree.
func floorRow(name, before, after string) PairRow {
	r := PairRow{Name: name, Quantity: "sun-fleck change"}
	var share [2]metrics.Estimate
	for i, path := range [2]string{before, after} {
		out := pipeline.MeasureFile(path, orchard.Floor, pipeline.Env{Set: pipeline.DefaultSettings(), NumbersOnly: true})
		e, ok := pipeline.EstimateOf(pick(out.Measurements, Value{Quantity: orchard.SunlitFraction}))
		if !ok {
			r.Refused = out.Reason
			return r
		}
		share[i] = e
	}
	r.take(metrics.NewChange(share[0], share[1], 0).Diff)
	return r
}

// judgeUntouched compares two photos of one untouched tree or alley: no change
// may be claimed.
func judgeUntouched(first, second string) []PairRow {
	name := strings.TrimSuffix(filepath.Base(first), ".jpg")
	if orchard.KindInName(name) == orchard.Side {
		return sideRow(name, first, second)
	}
	return lengthRows(name, first, second, orchard.Alley, orchard.ClearWidthM)
}

func lengthRows(name, first, second string, kind orchard.Kind, qs ...orchard.Quantity) []PairRow {
	env := pipeline.Env{Set: pipeline.DefaultSettings(), NumbersOnly: true}
	a, b := pipeline.MeasureFile(first, kind, env), pipeline.MeasureFile(second, kind, env)
	var rows []PairRow
	for _, q := range qs {
		r := PairRow{Name: name, Quantity: string(q) + " change"}
		ea, okA := pipeline.EstimateOf(pick(a.Measurements, Value{Quantity: q}))
		eb, okB := pipeline.EstimateOf(pick(b.Measurements, Value{Quantity: q}))
		if !okA || !okB {
			continue // judged by the other table
		}
		r.take(metrics.NewChange(ea, eb, 0).Diff)
		rows = append(rows, r)
	}
	return rows
}

// PrintPairs writes a line a number, and one for all the untouched trees.
func PrintPairs(w io.Writer, rows []PairRow) error {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "before and after\tquantity\ttruth\tmeasured\t95 %\terror\tbound\t")
	untouched, claimed := 0, []string{}
	for _, r := range rows {
		if r.Bound == 0 {
			if r.Refused == "" {
				untouched++
				if !r.Holds() {
					claimed = append(claimed, fmt.Sprintf("%s %s %.2f (%.2f to %.2f)", r.Name, r.Quantity, r.Value, r.Low95, r.High95))
				}
			}
			continue
		}
		if r.Refused != "" {
			fmt.Fprintf(t, "%s\t%s\t%+.3f\trefused: %s\t\t\t\tMISSED\n", r.Name, r.Quantity, r.Truth, r.Refused)
			continue
		}
		word := "holds"
		if !r.Holds() {
			word = "MISSED"
		}
		fmt.Fprintf(t, "%s\t%s\t%+.3f\t%+.3f\t%+.3f to %+.3f\t%+.3f\t%.2f\t%s\n", r.Name, r.Quantity, r.Truth, r.Value, r.Low95, r.High95, r.Value-r.Truth, r.Bound, word)
	}
	if err := t.Flush(); err != nil {
		return err
	}
	_, err := fmt.Fprintf(w, "untouched trees and alleys photographed twice: a change claimed in %d of %d numbers%s\n", len(claimed), untouched, list(claimed))
	return err
}

func list(items []string) string {
	if len(items) == 0 {
		return ""
	}
	return ": " + strings.Join(items, "; ")
}
