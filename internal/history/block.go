package history

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/stat"

	"rowlight/internal/orchard"
	"rowlight/metrics"
)

// blockLine is the mean of a block's trees at each visit: shares on the logit, with
// Student's interval over trees.
func (h *History) blockLine(b *orchard.Block) (Line, bool) {
	l := Line{Name: b.Name, Block: b.Key, Points: []Point{}}
	if l.Name == "" {
		l.Name = b.Key
	}
	for _, v := range h.Visits {
		var lit, height, clear []*Value
		cuts := 0
		for _, t := range h.Trees {
			if t.Block != b.Key {
				continue
			}
			for _, p := range t.Points {
				if p.Visit == v.Name {
					lit, height, clear = append(lit, p.Sunlit), append(height, p.Height), append(clear, p.Clear)
					if p.Cut {
						cuts++
					}
				}
			}
		}
		p := Point{Visit: v.Name, day: v.day, Sunlit: meanOf(lit, true), Height: meanOf(height, false), Clear: meanOf(clear, false), Cut: 2*cuts > len(lit)}
		if p.Sunlit != nil || p.Height != nil || p.Clear != nil {
			l.Points = append(l.Points, p)
		}
	}
	return l, len(l.Points) > 0
}

// meanOf is the mean over trees; nil for fewer than two.
func meanOf(vs []*Value, share bool) *Value {
	to, from := func(v float64) float64 { return v }, func(v float64) float64 { return v }
	if share {
		const least = 0.005 // half a percent stands in for none: the smallest share a photo shows
		to = func(p float64) float64 {
			p = math.Min(math.Max(p, least), 1-least)
			return math.Log(p / (1 - p))
		}
		from = func(l float64) float64 { return 1 / (1 + math.Exp(-l)) }
	}
	var y []float64
	for _, v := range vs {
		if v != nil {
			y = append(y, to(v.Value))
		}
	}
	sort.Float64s(y)
	if len(y) < 2 {
		return nil
	}
	mean, sd := stat.MeanStdDev(y, nil)
	half := metrics.StudentT95(len(y)-1) * sd / math.Sqrt(float64(len(y)))
	return &Value{from(mean), from(mean - half), from(mean + half)}
}
