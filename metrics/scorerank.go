package metrics

import (
	"hash/fnv"
	"math"
	"math/rand/v2"
	"sort"
)

const (
	// apartChance: two trees are told apart where the first outranks the other
	// in this share of the draws.
	apartChance = 0.95
	worstShare  = 5 // one in five
	// even is the share of a draw that equal scores give either tree.
	even = 0.5
)

// stream returns a generator of its own for a name, so that a tree's draws do
// not depend on which other trees there are or in what order.
func stream(seed uint64, name string) *rand.Rand {
	h := fnv.New64a()
	h.Write([]byte(name)) // a hash's Write never fails
	return rand.New(rand.NewPCG(seed, h.Sum64()))
}

// drawScores scores the tree anew for each draw of all its quantities. What no
// tree has is drawn between nothing and all, the same for every tree: it widens
// each score and moves no rank.
func drawScores(t ScoreTree, b beliefs, w [partCount]float64, set ScoreSettings) []float64 {
	own, common := stream(set.Seed, "tree "+t.Key), stream(set.Seed, "what no tree has")
	out := make([]float64, set.Draws)
	for i := range out {
		var z [quantityCount]float64
		for q := range quantityCount {
			z[q] = own.NormFloat64()
		}
		values := b.drawn(z)
		for p := range partCount {
			shared := common.Float64() // drawn whether used or not, to keep step
			s, _, ok := partShortfall(p, t, b, func(q quantity) float64 { return values[q] }, set.Targets)
			if !ok {
				s = shared
			}
			out[i] += s * w[p]
		}
	}
	return out
}

// interval95 is the middle 95 % of the draws, the point always within.
func interval95(draws []float64, point float64) (low, high float64) {
	s := append([]float64(nil), draws...)
	sort.Float64s(s)
	return math.Min(point, quantileOf(s, 0.025)), math.Max(point, quantileOf(s, 0.975))
}

// quantileOf a sorted list, the nearest value outward.
func quantileOf(s []float64, p float64) float64 {
	at := p * float64(len(s)-1)
	if p < 0.5 {
		return s[int(math.Floor(at))]
	}
	return s[int(math.Ceil(at))]
}

// rankScores puts the trees in order and fills ranks, their intervals, the ties and
// the chance of the worst fifth. draws[i] belongs to scores[i].
func rankScores(scores []TreeScore, draws [][]float64) {
	if len(scores) == 0 {
		return
	}
	place := make([]rankDraws, len(scores))
	for i := range place {
		place[i].best, place[i].worst = make([]float64, len(draws[0])), make([]float64, len(draws[0]))
	}
	for d := range draws[0] {
		rankOneDraw(scores, draws, place, d)
	}
	for i := range scores {
		s := &scores[i]
		low, _ := interval95(place[i].best, math.Inf(1))
		_, high := interval95(place[i].worst, math.Inf(-1))
		s.RankLow95, s.RankHigh95 = int(low), int(high)
		s.WorstFifth = place[i].inWorst / float64(len(draws[0]))
	}
	orderScores(scores, draws)
}

// rankDraws are a tree's ranks over the draws: the best and the worst that its
// equals leave it.
type rankDraws struct {
	best, worst []float64
	inWorst     float64
}

// rankOneDraw ranks all trees by one draw.
func rankOneDraw(scores []TreeScore, draws [][]float64, place []rankDraws, d int) {
	n := len(scores)
	idx := make([]int, n)
	for i := range idx {
		idx[i] = i
	}
	sort.SliceStable(idx, func(a, b int) bool { return draws[idx[a]][d] > draws[idx[b]][d] })
	worst := (n + worstShare - 1) / worstShare
	for from := 0; from < n; {
		to := from
		for to < n && draws[idx[to]][d] == draws[idx[from]][d] {
			to++
		}
		share := clampUnit(float64(worst-from) / float64(to-from))
		for _, i := range idx[from:to] {
			place[i].best[d], place[i].worst[d] = float64(from+1), float64(to)
			place[i].inWorst += share
		}
		from = to
	}
}

// orderScores sorts by score, then key, and numbers ranks and ties.
func orderScores(scores []TreeScore, draws [][]float64) {
	idx := make([]int, len(scores))
	for i := range idx {
		idx[i] = i
	}
	sort.SliceStable(idx, func(a, b int) bool { return scores[idx[a]].Score > scores[idx[b]].Score })
	sorted := make([]TreeScore, len(scores))
	tie, first := 1, idx[0]
	for k, i := range idx {
		s := scores[i]
		s.Rank = k + 1
		if k > 0 && s.Score == sorted[k-1].Score {
			s.Rank = sorted[k-1].Rank
		}
		if k > 0 && outranks(draws[first], draws[i]) >= apartChance {
			tie, first = tie+1, i
		}
		s.Tie = tie
		s.RankLow95, s.RankHigh95 = min(s.RankLow95, s.Rank), max(s.RankHigh95, s.Rank)
		sorted[k] = s
	}
	copy(scores, sorted)
}

// outranks is the share of draws in which a stands above b.
func outranks(a, b []float64) float64 {
	var n float64
	for d := range a {
		switch {
		case a[d] > b[d]:
			n++
		case a[d] == b[d]:
			n += even
		}
	}
	return n / float64(len(a))
}
