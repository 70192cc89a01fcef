package metrics

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

const (
	// leastScoreShare keeps a share off 0 and 1 on the logit scale: a tenth of a per
	// cent of the floor is less than a photo can tell.
	leastScoreShare = 0.001
	// leastSD keeps a photo that states no error from taking all the weight; on
	// the scale that is worked on (metres, logit), below anything measurable.
	leastSD = 1e-3
)

// Combine returns the mean of several photos' estimates of one quantity of one
// tree: the random-effects mean of DerSimonian and Laird 1986 (Controlled
// Clinical Trials 7:177-188). The photos' own errors count with the normal
// distribution, the spread between photos beyond them with Student's t of k-1
// degrees, so that two photos that disagree say little. One estimate comes back
// as it is, none as the zero Estimate with ok false.
func Combine(es []Estimate) (e Estimate, ok bool) { return combineOn(identityScale(), es) }

// CombineShares does the same for shares (0..1), on the logit.
func CombineShares(es []Estimate) (e Estimate, ok bool) { return combineOn(logitScale(), es) }

func combineOn(sc scale, es []Estimate) (Estimate, bool) {
	switch len(es) {
	case 0:
		return Estimate{}, false
	case 1:
		return es[0], true
	}
	looks := sc.looks(es)
	mean, half := combineLooks(looks, poolBetween([][]look{looks}))
	return Estimate{
		Value: sc.from(mean), Low95: sc.from(mean - half), High95: sc.from(mean + half), Flags: allFlags(es),
	}, true
}

// allFlags joins the photos' flags, each once, in order.
func allFlags(es []Estimate) []string {
	var out []string
	seen := map[string]bool{}
	for _, e := range es {
		for _, f := range e.Flags {
			if !seen[f] {
				seen[f] = true
				out = append(out, f)
			}
		}
	}
	return out
}

// scale is where a quantity's errors are near normal, and the way back.
type scale struct{ to, from func(float64) float64 }

func identityScale() scale {
	id := func(v float64) float64 { return v }
	return scale{id, id}
}

func logitScale() scale {
	return scale{
		func(p float64) float64 {
			p = math.Min(math.Max(p, leastScoreShare), 1-leastScoreShare)
			return math.Log(p / (1 - p))
		},
		func(l float64) float64 { return 1 / (1 + math.Exp(-l)) },
	}
}

// logScale is for ratios; below a thousandth they are taken as one.
func logScale() scale {
	return scale{func(v float64) float64 { return math.Log(math.Max(v, leastSD)) }, math.Exp}
}

// look is one photo's reading and its standard deviation, on a scale.
type look struct{ y, sd float64 }

func (sc scale) looks(es []Estimate) []look {
	out := make([]look, 0, len(es))
	for _, e := range es {
		sd := (sc.to(e.High95) - sc.to(e.Low95)) / (2 * Z95)
		l := look{sc.to(e.Value), math.Max(sd, leastSD)}
		if !math.IsNaN(l.y) && !math.IsNaN(l.sd) && !math.IsInf(l.y, 0) && !math.IsInf(l.sd, 0) {
			out = append(out, l)
		}
	}
	return out
}

// between is the spread between photos of one tree beyond their own errors, and
// the degrees of freedom that know it.
type between struct{ variance, df float64 }

// poolBetween is the moment estimate of DerSimonian and Laird, its numerators
// and denominators added up over the trees.
func poolBetween(groups [][]look) between {
	var q, df, c float64
	for _, g := range groups {
		if len(g) < 2 {
			continue
		}
		var sw, sw2, swy float64
		for _, l := range g {
			w := 1 / (l.sd * l.sd)
			sw, sw2, swy = sw+w, sw2+w*w, swy+w*l.y
		}
		for _, l := range g {
			d := l.y - swy/sw
			q += d * d / (l.sd * l.sd)
		}
		df += float64(len(g) - 1)
		c += sw - sw2/sw
	}
	if c <= 0 {
		return between{}
	}
	return between{math.Max(0, (q-df)/c), df}
}

// combineLooks returns the weighted mean and half of its 95 % interval.
func combineLooks(looks []look, b between) (mean, half float64) {
	var sw, swy, within, among float64
	for _, l := range looks {
		w := 1 / (l.sd*l.sd + b.variance)
		sw, swy = sw+w, swy+w*l.y
		within += w * w * l.sd * l.sd
		among += w * w * b.variance
	}
	t := Z95
	if b.df > 0 {
		t = distuv.StudentsT{Mu: 0, Sigma: 1, Nu: b.df}.Quantile(0.975)
	}
	return swy / sw, math.Sqrt(Z95*Z95*within+t*t*among) / sw
}
