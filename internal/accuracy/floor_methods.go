package accuracy

import (
	"fmt"
	"io"
	"math"
	"os"
	"text/tabwriter"

	"rowlight/internal/orchard"
	"rowlight/internal/pipeline"
)

// FloorMethod is a way to tell the sunlit share from the floor's luminance alone.
type FloorMethod struct {
	Name  string
	Share func(f pipeline.FloorLight) float64
}

// FloorMethods are the common ones, on log luminance, and ours last.
func FloorMethods() []FloorMethod {
	return []FloorMethod{
		{"Otsu", func(f pipeline.FloorLight) float64 { return above(f, otsu) }},
		{"Kittler-Illingworth", func(f pipeline.FloorLight) float64 { return above(f, kittler) }},
		{"two normals", twoNormals},
		{"ours", func(f pipeline.FloorLight) float64 { return f.Share.Value }},
	}
}

// PrintFloorMethods tries every method on every floor photo that we do not refuse
// and that is none to be refused, on the same pixels with the same areas, and
// writes a line a method and group of photos.
func PrintFloorMethods(w io.Writer, cases []Case, env pipeline.Env) error {
	methods := FloorMethods()
	sums := map[string][]tally{}
	var groups []string
	for _, c := range cases {
		truth, ok := c.floorTruth()
		if !ok {
			continue
		}
		data, err := os.ReadFile(c.Path)
		if err != nil {
			return fmt.Errorf("accuracy: compare methods: %w", err)
		}
		f, err := pipeline.FloorLightOf(data, env)
		if err != nil {
			continue // refused: the main table counts it
		}
		if sums[c.Group] == nil {
			groups, sums[c.Group] = append(groups, c.Group), make([]tally, len(methods))
		}
		for i, m := range methods {
			sums[c.Group][i].add(m.Share(f) - truth)
		}
	}
	if len(groups) == 0 {
		return nil
	}
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "sunlit share by method\tcase\tcount\tbias\tmean abs\tworst\tunit")
	for _, g := range groups {
		for i, m := range methods {
			s := sums[g][i]
			fmt.Fprintf(t, "%s\t%s\t%.0f\t%+.1f\t%.1f\t%.1f\tpoints\n", m.Name, g, s.n, 100*s.sum/s.n, 100*s.abs/s.n, 100*s.worst)
		}
	}
	return t.Flush()
}

func (c Case) floorTruth() (float64, bool) {
	if c.Kind != orchard.Floor || c.Refuse {
		return 0, false
	}
	for _, v := range c.Values {
		if v.Quantity == orchard.SunlitFraction {
			return v.Truth, true
		}
	}
	return 0, false
}

type tally struct{ n, sum, abs, worst float64 }

func (t *tally) add(e float64) {
	t.n++
	t.sum += e
	t.abs += math.Abs(e)
	t.worst = math.Max(t.worst, math.Abs(e))
}
