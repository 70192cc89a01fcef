package history

import (
	"fmt"
	"math"
	"time"
)

// chart is one line's light drawn over time.
type chart struct {
	Name, Alt     string
	Width, Height int
	Left, Right   int
	Top, Bottom   int
	TargetY       string
	TargetText    string
	Band          *band
	Dots          []dot
	Path          string
	YTicks        []tick
	XTicks        []tick
}

type tick struct{ At, Text string }

type dot struct {
	X, Y, Low, High string
	Cut             bool
}

// band is when the light falls under the target.
type band struct{ X, Width string }

// The chart's measures in pixels: a phone's width holds it.
const (
	chartW, chartH                  = 340, 170
	marginL, marginR, marginT, foot = 38, 10, 10, 26
	// aheadMost: the time axis runs on to the date under target, at most this far.
	aheadMost = 4 * 365 * 24 * time.Hour
	// leastSpan keeps two visits a week apart from being the whole axis.
	leastSpan = 120 * 24 * time.Hour
)

// drawLine draws a line's light; ok is false without a dated reading.
func (h *History) drawLine(l *Line) (chart, bool) {
	c := chart{Name: l.Name, Width: chartW, Height: chartH, Left: marginL, Right: chartW - marginR, Top: marginT, Bottom: chartH - foot}
	var lit []Point
	for _, p := range l.Points {
		if p.Sunlit != nil && !p.day.IsZero() {
			lit = append(lit, p)
		}
	}
	if len(lit) == 0 {
		return c, false
	}
	a := newAxes(lit, h.Target, l.Under)
	c.TargetY, c.TargetText = a.y(h.Target), fmt.Sprintf("target %.0f %%", 100*h.Target)
	for i, p := range lit {
		c.Dots = append(c.Dots, dot{a.x(p.day), a.y(p.Sunlit.Value), a.y(p.Sunlit.Low95), a.y(p.Sunlit.High95), p.Cut})
		step := "L"
		if i == 0 {
			step = "M"
		}
		c.Path += step + a.x(p.day) + " " + a.y(p.Sunlit.Value)
	}
	c.Band = a.band(l.Under)
	for v := 0.0; v <= a.most+1e-9; v += a.step {
		c.YTicks = append(c.YTicks, tick{a.y(v), fmt.Sprintf("%.0f", 100*v)})
	}
	for _, d := range []time.Time{a.from, a.to} {
		c.XTicks = append(c.XTicks, tick{a.x(d), d.Format("Jan 2006")})
	}
	last := lit[len(lit)-1]
	c.Alt = fmt.Sprintf("Sunlit floor of %s over %d visits, last %.0f percent at %s", l.Name, len(lit), 100*last.Sunlit.Value, last.Visit)
	return c, true
}

// axes map days and shares to pixels.
type axes struct {
	from, to   time.Time
	most, step float64
}

func newAxes(lit []Point, target float64, u *Under) axes {
	a := axes{from: lit[0].day, to: lit[len(lit)-1].day, most: target}
	for _, p := range lit {
		a.most = math.Max(a.most, math.Min(p.Sunlit.High95, 1.5*p.Sunlit.Value+0.1)) // one wide interval must not flatten the rest
	}
	a.step = 0.1
	if a.most > 0.5 {
		a.step = 0.2
	}
	a.most = math.Min(1, math.Ceil(a.most/a.step)*a.step)
	if u != nil {
		for _, s := range []string{u.From, u.To} {
			if d, err := time.Parse(dayForm, s); err == nil && d.After(a.to) && d.Sub(lit[len(lit)-1].day) < aheadMost {
				a.to = d
			}
		}
	}
	if a.to.Sub(a.from) < leastSpan {
		a.to = a.from.Add(leastSpan)
	}
	return a
}

func (a axes) x(d time.Time) string {
	share := float64(d.Sub(a.from)) / float64(a.to.Sub(a.from))
	share = math.Max(0, math.Min(1, share))
	return fmt.Sprintf("%.1f", marginL+6+share*(chartW-marginL-marginR-12))
}

func (a axes) y(v float64) string {
	v = math.Max(0, math.Min(v, a.most))
	return fmt.Sprintf("%.1f", marginT+(1-v/a.most)*(chartH-marginT-foot))
}

// band is the interval of the date under target; nil where it has none.
func (a axes) band(u *Under) *band {
	if u == nil || u.From == "" || u.To == "" {
		return nil
	}
	from, err1 := time.Parse(dayForm, u.From)
	to, err2 := time.Parse(dayForm, u.To)
	if err1 != nil || err2 != nil || from.After(a.to) {
		return nil
	}
	var l, r float64
	fmt.Sscan(a.x(from), &l)
	fmt.Sscan(a.x(to), &r)
	return &band{fmt.Sprintf("%.1f", l), fmt.Sprintf("%.1f", math.Max(2, r-l))}
}
