package accuracy

import (
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"sort"
	"text/tabwriter"

	"rowlight/metrics"
)

// InventedErrors are the errors of one photo's numbers, one standard deviation.
type InventedErrors struct {
	Sunlit  float64 // of the sunlit share p, times sqrt(p (1-p))
	HeightM float64
	AlleyM  float64
	Density float64 // on the share's own scale
	// Spot adds what one photo's floor may differ from the tree's whole floor.
	Spot bool
}

// absToSD is a normal error's standard deviation over its mean absolute one.
const absToSD = 1.25

// MeasuredErrors are those of the pipeline on the rendered practice photos, read
// off make accuracy on the day of this table: height 0.09 m, density 2.3 points, clear
// alley 0.17 m, from one photo without boards at the alley's edges.
//
// The sunlit share's standard deviation is 0.054 sqrt(p (1-p)): 1.5 points at 8 %
// (a fifth of it), 2.2 at 20 %. Of seven forms held against the 24 floors that are not
// all sun (a share of itself, of p (1-p), constant, hypotenuses of these, a free power)
// it is the likeliest for its number of terms, by AIC: 32 better than a share of itself,
// whose 13 % came from the middle of the range and had the dark floors too sure. The
// likeliest share of itself without the one worst floor is 12 %; 0.048 then takes the
// place of 0.054.
func MeasuredErrors() InventedErrors {
	return InventedErrors{Sunlit: 0.054, HeightM: absToSD * 0.09, AlleyM: absToSD * 0.17, Density: absToSD * 0.023}
}

// PairErrors are the same with a stereo pair for each side and alley: height 0.02 m,
// clear alley 0.10 m.
func PairErrors() InventedErrors {
	e := MeasuredErrors()
	e.HeightM, e.AlleyM = absToSD*0.02, absToSD*0.10
	return e
}

// scaled makes every error k times as large.
func (e InventedErrors) scaled(k float64) InventedErrors {
	e.Sunlit, e.HeightM, e.AlleyM, e.Density = k*e.Sunlit, k*e.HeightM, k*e.AlleyM, k*e.Density
	return e
}

// HeldLeast is the share of the trees that truly belong to the top fifth which the
// top fifth by score ought to hold (issue 5, must hold 2).
const HeldLeast = 0.90

// RankFigures are what a ranking of invented orchards came to.
type RankFigures struct {
	Name     string
	Trees    string // how the orchards were drawn
	Orchards int
	Photos   int     // of each shot and tree
	Held     float64 // of the trees that truly belong to the top fifth, share in the top fifth by score
	HeldTied float64 // the same, counting those whose rank interval reaches into it
	TiedSize float64 // how many trees that is, a share of all
	Needs    float64 // the share of the list, from the top, that holds 90 % of them
	Covered  float64 // share of true ranks in their 95 % interval
}

// Sizes of an invented orchard: three blocks of twenty trees.
const (
	inventedBlocks, inventedTrees = 3, 20
	inventedSeed                  = 20260814
	inventedDraws                 = 400
)

// inventedTree is a tree's truth.
type inventedTree struct{ sunlit, heightM, alleyM, density float64 }

const (
	inventedRowsM       = 8 // between rows
	inventedLeastAlleyM = 0.3
)

// apart draws trees each of whose numbers stands on its own. Trees of a block spread
// as an orchard's after harvest do (our guess, from the trade's ranges): the floor's
// light by a factor of two about 8 %, heights by 0.8 m about 5.4, clear alleys by
// 0.6 m about 2.2, density by half a logit about 86 %; blocks by half as much again.
func apart(rng *rand.Rand) []inventedTree {
	var out []inventedTree
	for range inventedBlocks {
		var off [4]float64
		for i := range off {
			off[i] = 0.5 * rng.NormFloat64()
		}
		for range inventedTrees {
			out = append(out, inventedTree{
				sunlit:  logistic(-2.44 + 0.7*(off[0]+rng.NormFloat64())),
				heightM: 5.4 + 0.8*(off[1]+rng.NormFloat64()),
				alleyM:  math.Max(inventedLeastAlleyM, 2.2+0.6*(off[2]+rng.NormFloat64())),
				density: logistic(1.8 + 0.5*(off[3]+rng.NormFloat64())),
			})
		}
	}
	return out
}

// InventedDraw is how an orchard's trees are drawn.
type InventedDraw struct {
	name string
	draw func(*rand.Rand) []inventedTree
}

// InventedGrown draws trees whose numbers hang together (invented_grown.go).
func InventedGrown() InventedDraw { return InventedDraw{"grown", grown} }

// InventedApart draws every number on its own.
func InventedApart() InventedDraw { return InventedDraw{"every number on its own", apart} }

// InventedRanking ranks orchards that are drawn with a known truth, seen by photos
// with the given errors.
func InventedRanking(name string, trees InventedDraw, orchards, photos int, e InventedErrors) (RankFigures, error) {
	f := RankFigures{Name: name, Trees: trees.name, Orchards: orchards, Photos: photos}
	var ranks, truly float64
	var places []float64 // of the trees that truly belong, shares of the list
	for n := range orchards {
		rng := rand.New(rand.NewPCG(inventedSeed, uint64(n)))
		truth, seen := invent(rng, trees, photos, e)
		want, err := ranked(truth, 1)
		if err != nil {
			return f, err
		}
		got, err := ranked(seen, inventedDraws)
		if err != nil {
			return f, err
		}
		top := (len(truth) + 4) / 5
		for key, w := range want {
			g := got[key]
			ranks++
			if g.RankLow95 <= top {
				f.TiedSize++
			}
			if g.RankLow95 <= w.Rank && w.Rank <= g.RankHigh95 {
				f.Covered++
			}
			if w.Rank > top {
				continue
			}
			truly++
			places = append(places, float64(g.Rank)/float64(len(truth)))
			if g.Rank <= top {
				f.Held++
			}
			if g.RankLow95 <= top {
				f.HeldTied++
			}
		}
	}
	f.Held, f.HeldTied, f.Covered, f.TiedSize = f.Held/truly, f.HeldTied/truly, f.Covered/ranks, f.TiedSize/ranks
	sort.Float64s(places)
	f.Needs = places[int(math.Ceil(HeldLeast*float64(len(places))))-1]
	return f, nil
}

func ranked(trees []metrics.ScoreTree, draws int) (map[string]metrics.TreeScore, error) {
	set := metrics.DefaultScoreSettings()
	set.Draws, set.Seed = draws, inventedSeed
	scores, err := metrics.Score(trees, set)
	if err != nil {
		return nil, err
	}
	out := map[string]metrics.TreeScore{}
	for _, s := range scores {
		out[s.Key] = s
	}
	return out, nil
}

func logistic(l float64) float64 { return 1 / (1 + math.Exp(-l)) }

// invent draws an orchard, and what photos saw of it.
func invent(rng *rand.Rand, trees InventedDraw, photos int, e InventedErrors) (truth, seen []metrics.ScoreTree) {
	exact := func(v float64) []metrics.Estimate { return []metrics.Estimate{{Value: v, Low95: v, High95: v}} }
	for i, v := range trees.draw(rng) {
		b := i/inventedTrees + 1
		tree := metrics.ScoreTree{Key: fmt.Sprintf("b%d-t%02d", b, i%inventedTrees+1), Block: fmt.Sprint("b", b), RowSpacingM: inventedRowsM}
		see := tree
		tree.Sunlit, tree.HeightM, tree.ClearAlleyM, tree.Density = exact(v.sunlit), exact(v.heightM), exact(v.alleyM), exact(v.density)
		for range photos {
			see.Sunlit = append(see.Sunlit, e.sunlit(rng, v.sunlit))
			see.HeightM = append(see.HeightM, length(rng, v.heightM, e.HeightM))
			see.ClearAlleyM = append(see.ClearAlleyM, length(rng, v.alleyM, e.AlleyM))
			see.Density = append(see.Density, share(rng, v.density, e.Density))
		}
		truth, seen = append(truth, tree), append(seen, see)
	}
	return truth, seen
}

// floorSeenM2 is what a floor photo shows within 1.5 m of the board.
const floorSeenM2 = 4.2

func (e InventedErrors) sunlit(rng *rand.Rand, p float64) metrics.Estimate {
	se := e.Sunlit * math.Sqrt(p*(1-p))
	if e.Spot {
		se = math.Hypot(se, metrics.SpotSD(p, floorSeenM2))
	}
	return share(rng, p, se)
}

// share sees a share with an error that is normal on the logit.
func share(rng *rand.Rand, p, se float64) metrics.Estimate {
	l := math.Log(p/(1-p)) + se/(p*(1-p))*rng.NormFloat64()
	q := logistic(l)
	return metrics.FromShare(q, se/(p*(1-p))*q*(1-q), 1e-4)
}

func length(rng *rand.Rand, v, sd float64) metrics.Estimate {
	x := v + sd*rng.NormFloat64()
	return metrics.Estimate{Value: x, Low95: x - metrics.Z95*sd, High95: x + metrics.Z95*sd}
}

// InventedOrchards is how many orchards make accuracy draws.
const InventedOrchards = 200

// InventedTable ranks grown orchards under several errors, and those of numbers drawn
// apart under the errors as measured.
func InventedTable(orchards int) ([]RankFigures, error) {
	spot := MeasuredErrors()
	spot.Spot = true
	const pairs = "as measured, sides and alleys by pairs"
	var out []RankFigures
	for _, c := range []struct {
		name   string
		trees  InventedDraw
		photos int
		errors InventedErrors
	}{
		{asMeasured, InventedGrown(), 1, MeasuredErrors()},
		{asMeasured, InventedApart(), 1, MeasuredErrors()},
		{asMeasured, InventedGrown(), 3, MeasuredErrors()},
		{asMeasured, InventedApart(), 3, MeasuredErrors()},
		{pairs, InventedGrown(), 1, PairErrors()},
		{pairs, InventedGrown(), 3, PairErrors()},
		{"a half of those measured", InventedGrown(), 1, MeasuredErrors().scaled(0.5)},
		{"a third of those measured", InventedGrown(), 1, MeasuredErrors().scaled(1.0 / 3)},
		{"as measured, and one spot for a whole tree's floor", InventedGrown(), 1, spot},
		{"as measured, and three spots for a whole tree's floor", InventedGrown(), 3, spot},
	} {
		f, err := InventedRanking(c.name, c.trees, orchards, c.photos, c.errors)
		if err != nil {
			return nil, err
		}
		out = append(out, f)
	}
	return out, nil
}

// asMeasured names the rows that issue 5 asks about, with one photo of each shot.
const asMeasured = "errors as measured"

// PrintInvented writes the table, and whether the errors as measured keep what
// issue 5 asks for.
func PrintInvented(w io.Writer, all []RankFigures) error {
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "ranking of invented orchards\ttrees\torchards\tphotos\ttrue top fifth held\tlist that holds 90 %\theld or tied\tof so many trees\trank in its 95 %")
	for _, f := range all {
		fmt.Fprintf(t, "%s\t%s\t%d\t%d\t%.1f %%\ttop %.0f %%\t%.1f %%\t%.0f %%\t%.1f %%\n", f.Name, f.Trees, f.Orchards, f.Photos, 100*f.Held, 100*f.Needs, 100*f.HeldTied, 100*f.TiedSize, 100*f.Covered)
	}
	if err := t.Flush(); err != nil {
		return err
	}
	word := func(ok bool) string {
		if ok {
			return "holds"
		}
		return "MISSED"
	}
	for _, f := range all {
		if f.Name != asMeasured || f.Photos != 1 {
			continue
		}
		if _, err := fmt.Fprintf(w, "issue 5, 2 (trees: %s): top fifth by score holds %.0f %% of the trees that truly belong: %.1f %%, %s; rank intervals cover %.0f to %.0f %%: %.1f %%, %s\n",
			f.Trees, 100*HeldLeast, 100*f.Held, word(f.Held >= HeldLeast), 100*CoverLow, 100*CoverHigh, 100*f.Covered, word(f.Covered >= CoverLow && f.Covered <= CoverHigh)); err != nil {
			return err
		}
	}
	return nil
}
