package metrics

import (
	"fmt"
	"math"
	"sort"
)

// ScoreTree is what is known of one tree when it is ranked. Each list holds one
// estimate a photo (or tape); an empty list is a shot that is missing.
type ScoreTree struct {
	Key         string  // unique; settles the order of equal trees
	Block       string  // trees of one block lend each other their spread
	RowSpacingM float64 // 0 unknown
	// Sunlit is the sunlit share of the floor, normalised to ReferenceZenithDeg.
	Sunlit  []Estimate
	HeightM []Estimate
	// ClearAlleyM is the clear width of the alley beside the tree, the worse
	// side where both were measured.
	ClearAlleyM []Estimate
	// Density is the share of the outline (of the bottom third, where light
	// should get in) filled by foliage.
	Density []Estimate
	// TopToBottom is the width of the top third over that of the bottom third.
	TopToBottom []Estimate
}

// ScoreTargets are what a tree is held against.
type ScoreTargets struct {
	Sunlit             float64 // share of the floor
	ClearAlleyM        float64
	HeightLimitM       float64
	HeightToRowSpacing float64
	HeightToClearAlley float64 // times the target alley, so that a closed alley does not count twice
	Density            float64 // filled share of the outline, at most
	TopToBottom        float64 // ratio of widths, at most
}

// HeightLimit is the lowest of the three rules, metres.
func (t ScoreTargets) HeightLimit(rowSpacingM float64) float64 {
	limit := math.Min(t.HeightLimitM, t.HeightToClearAlley*t.ClearAlleyM)
	if rowSpacingM > 0 {
		limit = math.Min(limit, t.HeightToRowSpacing*rowSpacingM)
	}
	return limit
}

// ScoreWeights are the most each part can give, before they are scaled to add
// up to 100. 0 leaves a part out.
type ScoreWeights struct{ Floor, Height, Alley, Shape float64 }

// ScoreSettings are the targets, the weights and the resampling.
type ScoreSettings struct {
	Targets ScoreTargets
	Weights ScoreWeights
	Draws   int // 0 takes 2000
	Seed    uint64
}

const (
	// defaultDraws puts 50 draws beyond each end of a 95 % interval, which fixes
	// the ends to about 0.3 points of probability.
	defaultDraws = 2000
	fullScore    = 100.0
)

// DefaultScoreSettings are the avocado trade's common practice: a fifth of the
// floor sunlit, 2.5 m clear, 5 m high or 0.8 x the row spacing or 2 x the alley;
// no wider above than below; and windows of 1 m, a few a side: three of them in
// a face of 5 x 4.5 m are a tenth of the outline, so at most 90 % filled. The
// weights are our proposal, no source has any.
func DefaultScoreSettings() ScoreSettings {
	return ScoreSettings{
		Targets: ScoreTargets{
			Sunlit: 0.20, ClearAlleyM: 2.5, HeightLimitM: 5, HeightToRowSpacing: 0.8, HeightToClearAlley: 2,
			Density: 0.90, TopToBottom: 1,
		},
		Weights: ScoreWeights{Floor: 40, Height: 20, Alley: 20, Shape: 20},
	}
}

// ScorePart is one part of a tree's score.
type ScorePart struct {
	Name    string
	Points  float64
	Weight  float64 // the most it can give; all parts' add up to 100
	Reason  string
	Missing bool
}

// TreeScore is a tree's place in the order: 100 the most urgent, rank 1 first.
type TreeScore struct {
	Key                   string
	Ranked                bool // false where nothing of the tree was measured
	Score, Low95, High95  float64
	Rank                  int // equal scores share the better rank
	RankLow95, RankHigh95 int
	// Tie numbers the groups of trees that cannot be told apart, from 1.
	Tie int
	// WorstFifth is the chance that the tree is among the most urgent fifth.
	WorstFifth float64
	Parts      []ScorePart
	// SunlitWeighed is the floor's sunlit share drawn toward its block's mean by what
	// the data can tell, or where the blocks' floors go with density, height or alley
	// toward what trees like this one have: what the score counts it as. nil where the
	// tree has no share or the block too few to weigh in.
	SunlitWeighed *Estimate
}

// Score ranks trees by the weighted shortfalls from their targets (scoreparts.go
// has the formulas). Intervals come from drawing every measurement anew within
// its error; the draws depend on the seed and the tree's key only, so the same
// trees give the same bytes in whatever order they come. The result is in order
// of rank, trees of which nothing is known last.
func Score(trees []ScoreTree, set ScoreSettings) ([]TreeScore, error) {
	if set.Draws <= 0 {
		set.Draws = defaultDraws
	}
	trees, err := sortedTrees(trees)
	if err != nil {
		return nil, err
	}
	weights, err := set.Weights.scaled()
	if err != nil {
		return nil, err
	}
	all := believe(trees)
	var out, unknown []TreeScore
	var draws [][]float64
	for i, t := range trees {
		b := all[i]
		if b.nothing() {
			unknown = append(unknown, TreeScore{Key: t.Key})
			continue
		}
		s := TreeScore{Key: t.Key, Ranked: true, SunlitWeighed: b.weighed(ofSunlit)}
		s.Score, s.Parts = pointScore(t, b, weights, set.Targets)
		d := drawScores(t, b, weights, set)
		s.Low95, s.High95 = interval95(d, s.Score)
		out, draws = append(out, s), append(draws, d)
	}
	rankScores(out, draws)
	return append(out, unknown...), nil
}

func sortedTrees(trees []ScoreTree) ([]ScoreTree, error) {
	out := append([]ScoreTree(nil), trees...)
	sort.SliceStable(out, func(i, j int) bool { return out[i].Key < out[j].Key })
	for i := 1; i < len(out); i++ {
		if out[i].Key == out[i-1].Key {
			return nil, fmt.Errorf("metrics: score trees: %q comes twice", out[i].Key)
		}
	}
	return out, nil
}

// scaled returns the weights of the parts, in their order, adding up to 100.
func (w ScoreWeights) scaled() ([partCount]float64, error) {
	out := [partCount]float64{floorPart: w.Floor, heightPart: w.Height, alleyPart: w.Alley, shapePart: w.Shape}
	var sum float64
	for _, v := range out {
		if !(v >= 0) || math.IsInf(v, 0) {
			return out, fmt.Errorf("a weight is %g: give 0 or more", v)
		}
		sum += v
	}
	if sum == 0 {
		return out, fmt.Errorf("all weights are 0, so nothing could put the trees in order: give floor, height, alley or shape more under [weights]")
	}
	for i := range out {
		out[i] *= fullScore / sum
	}
	return out, nil
}
