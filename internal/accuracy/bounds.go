package accuracy

import (
	"fmt"
	"io"
	"math"
	"strings"
	"text/tabwriter"

	"gonum.org/v1/gonum/stat/distuv"

	"rowlight/internal/orchard"
)

// Figure is what a bound limits.
type Figure int

// The figures. Relative ones are shares of the truth.
const (
	MeanAbs Figure = iota
	WorstAbs
	MeanRel
	WorstRel
	GoodRefused // share of usable photos refused, at most
	BadRefused  // share of photos that must be refused, at least
	Covered     // share of truths in the 95 % interval, between CoverLow and CoverHigh
)

// Methods of a bound; a Measurement's Method starts with one. Empty is any.
const (
	onePhoto  = "photo"
	pairOf    = "pair"
	betweenTw = twoBoards
)

// Bound is one line of what must hold (issue 4, "Must hold").
type Bound struct {
	Kind     orchard.Kind
	Quantity orchard.Quantity
	Method   string
	// ToM limits a profile to its first metres; 0 is all of it.
	ToM    float64
	Figure Figure
	Limit  float64 // in the quantity's unit, or a share
	Source string
}

// CoverLow and CoverHigh: how often a 95 % interval may hold the truth (issue 4, 3).
const CoverLow, CoverHigh = 0.90, 0.99

// Bounds lists what issue 4 asks for, in its order.
func Bounds() []Bound {
	const light, shape, covered = "issue 4, 1", "issue 4, 2", "issue 4, 3"
	out := []Bound{
		{orchard.Floor, orchard.SunlitFraction, "", 0, MeanAbs, 0.02, light},
		{orchard.Floor, orchard.SunlitFraction, "", 0, WorstAbs, 0.06, light},
		{orchard.Floor, orchard.SunlitFraction, "", 0, BadRefused, 1, light},
		{orchard.Floor, orchard.SunlitFraction, "", 0, GoodRefused, 0.05, light},
		{orchard.Side, orchard.HeightM, "", 0, MeanRel, 0.02, shape},
		{orchard.Side, orchard.HeightM, "", 0, WorstRel, 0.05, shape},
		{orchard.Side, orchard.CrownWidthM, "", 0, MeanRel, 0.04, shape},
		{orchard.Side, orchard.DensityFraction, "", 0, MeanAbs, 0.04, shape},
		{orchard.Alley, orchard.ClearWidthM, onePhoto, 0, MeanAbs, 0.25, shape},
		{orchard.Alley, orchard.ClearWidthM, pairOf, 0, MeanAbs, 0.12, shape},
		{orchard.Alley, orchard.ClearWidthAtM, pairOf, 8, MeanAbs, 0.20, shape},
		{orchard.Alley, orchard.NarrowestAtM, pairOf, 0, WorstAbs, 1, shape},
		{orchard.Alley, orchard.ClearWidthM, betweenTw, 0, MeanAbs, 0.03, shape},
	}
	for _, c := range []struct {
		kind orchard.Kind
		q    orchard.Quantity
	}{{orchard.Floor, orchard.SunlitFraction}, {orchard.Side, orchard.HeightM}, {orchard.Side, orchard.CrownWidthM},
		{orchard.Side, orchard.WidthAtHeightM}, {orchard.Side, orchard.CrownBaseM}, {orchard.Side, orchard.DensityFraction},
		{orchard.Side, orchard.SkyGapFraction}, {orchard.Alley, orchard.ClearWidthM}, {orchard.Alley, orchard.ClearWidthAtM},
		{orchard.Alley, orchard.NarrowestM}} {
		out = append(out, Bound{c.kind, c.q, "", 0, Covered, CoverLow, covered})
	}
	return out
}

// Verdict is what became of a bound.
type Verdict struct {
	Bound
	Cases  int     // numbers, or photos, it rests on; 0: nothing to judge
	Photos int     // photos these came from
	Value  float64 // in the bound's own unit
	Holds  bool
}

// Hold judges the bounds on rows; sets and second photos are taken together.
func Hold(bounds []Bound, rows []Row) []Verdict {
	out := make([]Verdict, len(bounds))
	for i, b := range bounds {
		out[i] = b.judge(rows)
	}
	return out
}

// Missed says how many bounds do not hold.
func Missed(vs []Verdict) int {
	n := 0
	for _, v := range vs {
		if v.Cases > 0 && !v.Holds {
			n++
		}
	}
	return n
}

func (b Bound) judge(rows []Row) Verdict {
	v := Verdict{Bound: b}
	files := map[string]bool{}
	var sum, worst, hits float64
	for _, r := range rows {
		if !b.covers(r) {
			continue
		}
		value, ok := b.of(r)
		if !ok {
			continue
		}
		v.Cases++
		files[r.File] = true
		sum, worst = sum+value, math.Max(worst, value)
		if value > 0 {
			hits++
		}
	}
	v.Photos = len(files)
	if v.Cases == 0 {
		return v
	}
	n := float64(v.Cases)
	switch b.Figure {
	case MeanAbs, MeanRel:
		v.Value = sum / n
		v.Holds = v.Value <= b.Limit
	case WorstAbs, WorstRel:
		v.Value = worst
		v.Holds = v.Value <= b.Limit
	case GoodRefused:
		v.Value = hits / n
		v.Holds = v.Value <= b.Limit
	case BadRefused:
		v.Value = hits / n
		v.Holds = v.Value >= b.Limit
	case Covered:
		v.Value = hits / n
		v.Holds = plausible(v.Value, v.Photos)
	}
	return v
}

// covers says whether a row is of the bound's kind of number.
func (b Bound) covers(r Row) bool {
	return r.Kind == b.Kind && r.Quantity == b.Quantity && (r.Measured == nil || strings.HasPrefix(r.Method, b.Method)) &&
		(b.ToM == 0 || r.AtM != nil && *r.AtM <= b.ToM)
}

// of returns what a row adds to the figure; ok is false where it has none.
func (b Bound) of(r Row) (v float64, ok bool) {
	flag := func(on bool) float64 {
		if on {
			return 1
		}
		return 0
	}
	switch b.Figure {
	case BadRefused:
		return flag(r.Refused), r.RefuseExpected
	case GoodRefused:
		return flag(r.Refused), !r.RefuseExpected
	}
	if r.Measured == nil || r.Refused || r.RefuseExpected {
		return 0, false
	}
	e := math.Abs(*r.Measured - r.Truth)
	switch b.Figure {
	case MeanAbs, WorstAbs:
		return e, true
	case MeanRel, WorstRel:
		return e / math.Abs(r.Truth), r.Truth != 0
	}
	if r.Low95 == nil || r.High95 == nil {
		return 0, false
	}
	return flag(*r.Low95 <= r.Truth && r.Truth <= *r.High95), true
}

// plausible says whether a share of truths held, seen on so many photos, can come of
// intervals that hold CoverLow to CoverHigh of them: chance alone would give so few,
// or so many, at least once in twenty times. Numbers of one photo err together, so
// photos are counted, not numbers. Twelve of twelve is no fault: intervals that hold
// 99 % give it nine times in ten.
func plausible(share float64, photos int) bool {
	const once = 0.05
	k := int(math.Round(share * float64(photos)))
	return binomialAtMost(k, photos, CoverLow) >= once && 1-binomialAtMost(k-1, photos, CoverHigh) >= once
}

// binomialAtMost is the chance of k or fewer hits in n tries at p.
func binomialAtMost(k, n int, p float64) float64 {
	return distuv.Binomial{N: float64(n), P: p}.CDF(float64(k))
}

// PrintBounds writes a line a bound.
func PrintBounds(w io.Writer, vs []Verdict) error {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "bound\tmethod\tfound\tlimit\tfrom\tverdict\tsource")
	for _, v := range vs {
		found, verdict := v.words("MISSED")
		limit := v.limitText()
		fmt.Fprintf(t, "%s\t%s\t%s\t%s\t%d in %d photos\t%s\t%s\n", v.name(), orAny(v.Method), found, limit, v.Cases, v.Photos, verdict, v.Source)
	}
	return t.Flush()
}

// words are what was found and whether it holds; missed is how a miss is set.
func (v Verdict) words(missed string) (found, verdict string) {
	switch {
	case v.Cases == 0:
		return "-", "no case"
	case !v.Holds:
		return v.text(v.Value), missed
	}
	return v.text(v.Value), "holds"
}

func orAny(method string) string {
	if method == "" {
		return "any"
	}
	return method
}

func (v Verdict) name() string {
	what := [...]string{"mean error", "worst error", "mean error", "worst error", "good photos refused", "bad photos refused", "truth in 95 % interval"}[v.Figure]
	name := fmt.Sprintf("%s %s: %s", v.Kind, v.Quantity, what)
	if v.ToM > 0 {
		name += fmt.Sprintf(", first %g m", v.ToM)
	}
	return name
}

// text writes a figure in its unit.
func (b Bound) text(x float64) string {
	switch b.Figure {
	case MeanAbs, WorstAbs:
		s, u := unit(b.Quantity)
		return fmt.Sprintf("%.2f %s", s*x, u)
	}
	return fmt.Sprintf("%.1f %%", 100*x)
}

func (b Bound) limitText() string {
	switch b.Figure {
	case Covered:
		return fmt.Sprintf("%.0f to %.0f %%, chance allowed", 100*CoverLow, 100*CoverHigh)
	case BadRefused:
		return "at least " + b.text(b.Limit)
	}
	return "at most " + b.text(b.Limit)
}
