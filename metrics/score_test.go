package metrics

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

func exact(v float64) []Estimate { return []Estimate{{Value: v, Low95: v, High95: v}} }

func mustScore(t interface{ Fatal(...any) }, trees []ScoreTree, set ScoreSettings) []TreeScore {
	out, err := Score(trees, set)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// By hand: floor .05: r = 1 - ln .2/ln .05 = .46276 (trade notes 8.1: .4628), over
// .5 is .92551, of 40 points 37.020. Height 6 m: (6-5)/5/.5 = .4 of 20 is 8.
// Alley 1.5 m: 1/2.5 = .4 of 20 is 8. Density .95: .05/.1 = .5; taper 1.2:
// .2/.5 = .4; the larger of 20 is 10. Together 63.020.
func TestScoreWorkedTree(t *testing.T) {
	tree := ScoreTree{Key: "a", Sunlit: exact(0.05), HeightM: exact(6), ClearAlleyM: exact(1.5), Density: exact(0.95), TopToBottom: exact(1.2)}
	got := mustScore(t, []ScoreTree{tree}, DefaultScoreSettings())[0]
	near(t, "score", got.Score, 63.020, 1e-3)
	want := []struct {
		name, reason string
		points       float64
	}{
		{"floor light", "floor 5 % sunlit, target 20 %", 37.020},
		{"height", "6.0 m tall, limit 5.0 m", 8},
		{"alley", "alley 1.5 m clear, target 2.5 m", 8},
		{"density", "outline 95 % filled with leaf, at most 90 %", 10},
	}
	for i, w := range want {
		p := got.Parts[i]
		near(t, w.name, p.Points, w.points, 1e-3)
		if p.Name != w.name || p.Reason != w.reason || p.Missing {
			t.Errorf("part %+v, want %+v", p, w)
		}
	}
	if got.Rank != 1 || got.RankLow95 != 1 || got.RankHigh95 != 1 || got.Tie != 1 || got.WorstFifth != 1 {
		t.Errorf("a single tree's place: %+v", got)
	}
}

// Trade notes 8.1, share to remove for a target of .20.
func TestRemovalShare(t *testing.T) {
	for _, r := range [][2]float64{{.01, .6505}, {.03, .5410}, {.08, .3628}, {.10, .3010}, {.15, .1516}, {.18, .0614}, {.20, 0}, {.5, 0}, {1, 0}, {0, 1}} {
		near(t, "r", removalShare(r[0], 0.20), r[1], 5.1e-5)
	}
}

// Trade notes 6.1: 80 % of rows 6 and 7 m is 4.8 and 5.6 m; the lowest rule holds.
func TestHeightLimit(t *testing.T) {
	tg := DefaultScoreSettings().Targets
	for _, r := range [][2]float64{{6, 4.8}, {7, 5}, {0, 5}} {
		near(t, "limit", tg.HeightLimit(r[0]), r[1], 1e-12)
	}
	tg.ClearAlleyM = 2
	near(t, "limit by alley", tg.HeightLimit(9), 4, 1e-12)
}

// block is a drawn block: the truth and what photos with known errors saw of it.
func block(rng *rand.Rand, n int) (truth, seen []ScoreTree) {
	share := func(l, sd float64) Estimate {
		from := logitScale().from
		return Estimate{Value: from(l), Low95: from(l - Z95*sd), High95: from(l + Z95*sd)}
	}
	for i := range n {
		key := fmt.Sprintf("t%03d", i)
		p, h, a, d := -2.2+0.7*rng.NormFloat64(), 5.3+0.7*rng.NormFloat64(), 2.2+0.5*rng.NormFloat64(), 2.4+0.5*rng.NormFloat64()
		truth = append(truth, ScoreTree{Key: key, Sunlit: []Estimate{share(p, 0)}, HeightM: exact(h), ClearAlleyM: exact(a), Density: []Estimate{share(d, 0)}})
		seen = append(seen, ScoreTree{
			Key: key, Sunlit: []Estimate{share(p+0.25*rng.NormFloat64(), 0.25)},
			HeightM:     []Estimate{withSD(h+0.15*rng.NormFloat64(), 0.15)},
			ClearAlleyM: []Estimate{withSD(a+0.2*rng.NormFloat64(), 0.2)},
			Density:     []Estimate{share(d+0.2*rng.NormFloat64(), 0.2)},
		})
	}
	return truth, seen
}

// The 95 % intervals of score and rank hold the truth in 95 % of drawn trees: 8
// blocks of 25 trees, deviation sqrt(.95 x .05/200) = 1.5 points, four allowed.
func TestScoreIntervalsHoldTheTruth(t *testing.T) {
	rng := rand.New(rand.NewPCG(21, 4))
	var n, score, place float64
	for range 8 {
		truth, seen := block(rng, 25)
		want := map[string]TreeScore{}
		for _, s := range mustScore(t, truth, DefaultScoreSettings()) {
			want[s.Key] = s
		}
		for _, s := range mustScore(t, seen, DefaultScoreSettings()) {
			w := want[s.Key]
			n++
			if s.Low95 <= w.Score && w.Score <= s.High95 {
				score++
			}
			if s.RankLow95 <= w.Rank && w.Rank <= s.RankHigh95 {
				place++
			}
		}
	}
	t.Logf("of %g trees %.3f scores and %.3f ranks within their intervals", n, score/n, place/n)
	if low := 0.95 - 4*0.0154; score/n < low || place/n < low {
		t.Errorf("scores %.3f, ranks %.3f within their intervals, %.3f needed", score/n, place/n, low)
	}
}

// The same trees in any order give the same bytes; another seed moves no point.
func TestScoreIsDeterministic(t *testing.T) {
	_, trees := block(rand.New(rand.NewPCG(3, 3)), 12)
	trees[4].HeightM = nil
	a := mustScore(t, trees, DefaultScoreSettings())
	back := slices.Clone(trees)
	slices.Reverse(back)
	if b := mustScore(t, back, DefaultScoreSettings()); !reflect.DeepEqual(a, b) {
		t.Error("the order of the input changed the result")
	}
	set := DefaultScoreSettings()
	set.Seed = 99
	for i, b := range mustScore(t, trees, set) {
		if b.Key != a[i].Key || b.Score != a[i].Score || b.Rank != a[i].Rank {
			t.Errorf("another seed moved %s to %s", a[i].Key, b.Key)
		}
	}
}

// The chances of being in the most urgent fifth add up to that fifth's size, and
// ranks and ties run up the list.
func TestScoreOrderIsSound(t *testing.T) {
	_, trees := block(rand.New(rand.NewPCG(8, 1)), 23)
	var sum float64
	last := TreeScore{Score: fullScore, Rank: 1, Tie: 1}
	for _, s := range mustScore(t, trees, DefaultScoreSettings()) {
		sum += s.WorstFifth
		if s.Score > last.Score || s.Rank < last.Rank || s.Tie < last.Tie || s.Tie > last.Tie+1 {
			t.Errorf("%+v comes after %+v", s, last)
		}
		if s.Low95 > s.Score || s.Score > s.High95 || s.RankLow95 > s.Rank || s.Rank > s.RankHigh95 {
			t.Errorf("a point lies outside its interval: %+v", s)
		}
		last = s
	}
	near(t, "chances", sum, 5, 1e-9) // ceil(23/5)
}

func TestScoreTies(t *testing.T) {
	like := func(key string, p float64) ScoreTree {
		return ScoreTree{Key: key, Sunlit: []Estimate{FromShare(p, 0.01, 0.001)}, HeightM: exact(5.5)}
	}
	got := mustScore(t, []ScoreTree{like("c", .15), like("a", .06), like("b", .06), like("d", .15)}, DefaultScoreSettings())
	var keys []string
	var ranks, ties []int
	for _, s := range got {
		keys, ranks, ties = append(keys, s.Key), append(ranks, s.Rank), append(ties, s.Tie)
	}
	if !slices.Equal(keys, []string{"a", "b", "c", "d"}) || !slices.Equal(ranks, []int{1, 1, 3, 3}) || !slices.Equal(ties, []int{1, 1, 2, 2}) {
		t.Errorf("keys %v, ranks %v, ties %v", keys, ranks, ties)
	}
}

// A missing shot takes its block's mean, says so, and widens the interval; what
// no tree has gives no points, widens every score and moves no rank.
func TestScoreMissing(t *testing.T) {
	_, trees := block(rand.New(rand.NewPCG(5, 6)), 10)
	full := byKey(mustScore(t, trees, DefaultScoreSettings()))
	trees[3].Sunlit = nil
	part := byKey(mustScore(t, trees, DefaultScoreSettings()))
	f, p := full["t003"], part["t003"]
	if !p.Parts[floorPart].Missing || p.Parts[floorPart].Reason == f.Parts[floorPart].Reason {
		t.Errorf("the missing floor is not said: %+v", p.Parts[floorPart])
	}
	if p.High95-p.Low95 <= f.High95-f.Low95 {
		t.Errorf("the interval is %.1f wide without the floor, %.1f with it", p.High95-p.Low95, f.High95-f.Low95)
	}
	// One of ten trees' floor more or less moves the block's mean, toward which the
	// others are drawn, by a tenth of their spread: at most a point or two.
	if a, b := full["t005"].Score, part["t005"].Score; math.Abs(a-b) > 2 {
		t.Errorf("another tree's own score moved from %.1f to %.1f", a, b)
	}

	for i := range trees {
		trees[i].ClearAlleyM = nil
	}
	for key, s := range byKey(mustScore(t, trees, DefaultScoreSettings())) {
		a := s.Parts[alleyPart]
		if !a.Missing || a.Points != 0 || s.High95 < s.Score+5 {
			t.Errorf("%s: an alley no tree has: %+v, score %.1f to %.1f", key, a, s.Score, s.High95)
		}
	}

	got := mustScore(t, []ScoreTree{{Key: "bare"}, {Key: "seen", HeightM: exact(6)}}, DefaultScoreSettings())
	if got[0].Key != "seen" || got[1].Ranked || got[1].Rank != 0 {
		t.Errorf("a tree of which nothing is known: %+v", got[1])
	}
}

func byKey(ss []TreeScore) map[string]TreeScore {
	out := map[string]TreeScore{}
	for _, s := range ss {
		out[s.Key] = s
	}
	return out
}

func TestScoreWeights(t *testing.T) {
	_, trees := block(rand.New(rand.NewPCG(1, 1)), 5)
	set := DefaultScoreSettings()
	set.Draws = 200
	set.Weights = ScoreWeights{Floor: 3, Alley: 1}
	for _, s := range mustScore(t, trees, set) {
		if s.Parts[heightPart].Points != 0 || s.Parts[heightPart].Weight != 0 || s.Parts[floorPart].Weight != 75 || s.Parts[alleyPart].Weight != 25 {
			t.Errorf("parts %+v", s.Parts)
		}
	}
	for _, bad := range []ScoreWeights{{}, {Floor: -1, Height: 2}, {Floor: math.NaN()}, {Floor: math.Inf(1)}} {
		set.Weights = bad
		if _, err := Score(trees, set); err == nil {
			t.Errorf("weights %+v were taken", bad)
		}
	}
	if _, err := Score([]ScoreTree{{Key: "a"}, {Key: "a"}}, DefaultScoreSettings()); err == nil {
		t.Error("one key twice was taken")
	}
}

// Worse in any measurement never lowers the score, and no input leaves 0-100.
func TestScoreIsMonotone(t *testing.T) {
	set := DefaultScoreSettings()
	set.Draws = 50
	rapid.Check(t, func(r *rapid.T) {
		num := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(r, name) }
		v := [quantityCount]float64{num("sunlit", 0, 1), num("height", 0, 20), num("alley", 0, 10), num("density", 0, 1), num("taper", 0, 5)}
		make1 := func(v [quantityCount]float64) float64 {
			s := mustScore(r, []ScoreTree{{Key: "a", RowSpacingM: 6, Sunlit: exact(v[0]), HeightM: exact(v[1]), ClearAlleyM: exact(v[2]), Density: exact(v[3]), TopToBottom: exact(v[4])}}, set)[0]
			if s.Low95 < 0 || s.High95 > fullScore+1e-9 {
				r.Fatalf("interval %g to %g", s.Low95, s.High95)
			}
			return s.Score
		}
		worse := v
		worse[ofSunlit] *= num("less light", 0, 1)
		worse[ofHeight] += num("higher", 0, 5)
		worse[ofAlley] *= num("narrower", 0, 1)
		worse[ofDensity] = math.Min(1, v[ofDensity]+num("denser", 0, 0.5))
		worse[ofTaper] += num("wider on top", 0, 2)
		if a, b := make1(v), make1(worse); b < a-1e-9 {
			r.Fatalf("%v scores %g, the worse %v %g", v, a, worse, b)
		}
	})
}

// Values no photo should give must not break the ranking.
func TestScoreOddValues(t *testing.T) {
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), -3, 0, 1e9} {
		odd := ScoreTree{Key: "odd", Sunlit: exact(v), HeightM: exact(v), ClearAlleyM: exact(v), Density: exact(v), TopToBottom: exact(v)}
		for _, s := range mustScore(t, []ScoreTree{odd, {Key: "a", HeightM: exact(6)}}, DefaultScoreSettings()) {
			if !(s.Score >= 0 && s.Score <= fullScore && s.Low95 >= 0 && s.High95 <= fullScore+1e-9) {
				t.Errorf("value %g gives %+v", v, s)
			}
		}
	}
}
