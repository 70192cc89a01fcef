package accuracy

import (
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"sort"
	"strconv"
	"text/tabwriter"

	"rowlight/internal/orchard"
)

// Line is one row of the table: a set, a kind, a quantity.
type Line struct {
	Set, Group string
	Kind       orchard.Kind
	Quantity   orchard.Quantity
	Count      int     // numbers with a truth
	Refused    int     // photos refused, or the number absent
	Bias       float64 // mean of measured - truth
	MAE        float64 // mean absolute error
	Worst      float64 // largest absolute error
	Covered    int     // truths inside the 95 % interval
	RelMAE     float64 // mean of |error|/truth
	WidthMean  float64 // mean width of the interval
	Expected   bool    // the truth is that the photo must be refused
}

type lineKey struct {
	set, group string
	kind       orchard.Kind
	quantity   orchard.Quantity
	expected   bool
}

// Summarise gathers rows into lines, sorted by kind, quantity and set.
func Summarise(rows []Row) []Line {
	byKey := map[lineKey]*Line{}
	for _, r := range rows {
		k := lineKey{r.Set, r.Group, r.Kind, r.Quantity, r.RefuseExpected}
		l := byKey[k]
		if l == nil {
			l = &Line{Set: r.Set, Group: r.Group, Kind: r.Kind, Quantity: r.Quantity, Expected: r.RefuseExpected}
			byKey[k] = l
		}
		l.add(r)
	}
	out := make([]Line, 0, len(byKey))
	for _, l := range byKey {
		out = append(out, l.mean())
	}
	sort.Slice(out, func(i, j int) bool { return out[i].key() < out[j].key() })
	return out
}

func (l Line) key() string {
	return fmt.Sprintf("%s|%s|%t|%s|%s", l.Kind, l.Quantity, l.Expected, l.Group, l.Set)
}

func (l *Line) add(r Row) {
	l.Count++
	if r.Measured == nil || r.Refused {
		l.Refused++
		return
	}
	e := *r.Measured - r.Truth
	l.Bias += e
	l.MAE += math.Abs(e)
	l.Worst = math.Max(l.Worst, math.Abs(e))
	if r.Truth != 0 {
		l.RelMAE += math.Abs(e / r.Truth)
	}
	if r.Low95 != nil && r.High95 != nil {
		l.WidthMean += *r.High95 - *r.Low95
		if *r.Low95 <= r.Truth && r.Truth <= *r.High95 {
			l.Covered++
		}
	}
}

func (l *Line) mean() Line {
	if n := float64(l.Measured()); n > 0 {
		l.Bias, l.MAE, l.RelMAE, l.WidthMean = l.Bias/n, l.MAE/n, l.RelMAE/n, l.WidthMean/n
	}
	return *l
}

// Measured is how many numbers were given.
func (l Line) Measured() int { return l.Count - l.Refused }

// unit is how a quantity's errors are printed: shares in points.
func unit(q orchard.Quantity) (scale float64, name string) {
	switch q {
	case orchard.SunlitFraction, orchard.SkyGapFraction, orchard.DensityFraction:
		return 100, "points"
	}
	return 1, "m"
}

// Print writes the table.
func Print(w io.Writer, lines []Line) error {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "kind\tquantity\tcase\tset\tcount\trefused\tbias\tmean abs\tworst\tunit\tmean rel\tin 95 %\tmean width")
	for _, l := range lines {
		s, u := unit(l.Quantity)
		group := l.Group
		if l.Expected {
			group += " (must be refused)"
		}
		fmt.Fprintf(t, "%s\t%s\t%s\t%s\t%d\t%d\t", l.Kind, l.Quantity, group, l.Set, l.Count, l.Refused)
		if l.Measured() == 0 || l.Expected {
			fmt.Fprintln(t, "-\t-\t-\t-\t-\t-\t-")
			continue
		}
		fmt.Fprintf(t, "%+.2f\t%.2f\t%.2f\t%s\t%.1f %%\t%d of %d\t%.2f\n", s*l.Bias, s*l.MAE, s*l.Worst, u, 100*l.RelMAE, l.Covered, l.Measured(), s*l.WidthMean)
	}
	return t.Flush()
}

// WriteCSV writes every row: file, quantity, measured, interval, truth.
func WriteCSV(w io.Writer, rows []Row) error {
	out := csv.NewWriter(w)
	_ = out.Write([]string{"file", "set", "kind", "case", "quantity", "at_m", "method", "measured", "low95", "high95", "truth", "refused", "refuse_expected", "reason"})
	for _, r := range rows {
		truth := num(&r.Truth)
		if r.RefuseExpected {
			truth = ""
		}
		_ = out.Write([]string{r.File, r.Set, string(r.Kind), r.Group, string(r.Quantity), num(r.AtM), r.Method,
			num(r.Measured), num(r.Low95), num(r.High95), truth,
			strconv.FormatBool(r.Refused), strconv.FormatBool(r.RefuseExpected), r.Reason})
	}
	out.Flush()
	return out.Error()
}

func num(v *float64) string {
	if v == nil {
		return ""
	}
	return strconv.FormatFloat(*v, 'g', 6, 64)
}
