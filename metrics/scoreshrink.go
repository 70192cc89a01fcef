package metrics

import "math"

// Shrinking: what photos say of a tree is drawn toward its block's mean by what
// the data can tell (empirical Bayes). A block of trees that differ by more than
// the photos' errors keeps them; one whose trees differ by no more than the errors
// gives nearly one value to all. Where the block's numbers go together from tree to
// tree, they are drawn together (scoretogether.go).

// fewestToShrink: the spread between fewer trees than these is not known well
// enough to draw one toward another.
const fewestToShrink = 5

// blockSpread is how one quantity lies among the trees of a block: their mean, the
// variance between them beyond the photos' errors, the mean's own weight (one over
// its variance), and how many were measured.
type blockSpread struct {
	mean, tau2, weight float64
	trees              int
}

// known: enough trees were measured to weigh the block in.
func (s blockSpread) known() bool { return s.trees >= fewestToShrink }

// pullShare keeps a pull from going too far for the spread being an estimate itself
// (Morris 1983).
func (s blockSpread) pullShare() float64 { return float64(s.trees-3) / float64(s.trees-1) }

// blockSpreads of all quantities among the trees of a block.
type blockSpreads [quantityCount]blockSpread

// spreadOf the block's members: tau2 by the moments (DerSimonian and Laird 1986), the
// mean weighted.
func spreadOf(members []int, all []beliefs, q quantity) blockSpread {
	var group []look
	for _, i := range members {
		if all[i][q].from == fromPhotos {
			group = append(group, look{all[i][q].mean, all[i][q].error()})
		}
	}
	s := blockSpread{trees: len(group)}
	if !s.known() {
		return s
	}
	s.tau2 = poolBetween([][]look{group}).variance
	var sum float64
	for _, l := range group {
		w := 1 / (l.sd*l.sd + s.tau2)
		s.weight, sum = s.weight+w, sum+w*l.y
	}
	s.mean = sum / s.weight
	return s
}

// error of a measured quantity, one standard deviation, never quite nothing.
func (b belief) error() float64 { return math.Max(b.sd, leastSD) }

// blocksOf lists the members of each block, blocks in the trees' order.
func blocksOf(trees []ScoreTree) [][]int {
	at := map[string]int{}
	var out [][]int
	for i, t := range trees {
		k, ok := at[t.Block]
		if !ok {
			k = len(out)
			at[t.Block], out = k, append(out, nil)
		}
		out[k] = append(out[k], i)
	}
	return out
}

// shrinkBlocks weighs each block into its trees' beliefs.
func shrinkBlocks(trees []ScoreTree, all []beliefs) {
	blocks := blocksOf(trees)
	among := make([]blockSpreads, len(blocks))
	for k, members := range blocks {
		for q := range quantityCount {
			among[k][q] = spreadOf(members, all, q)
		}
	}
	found := bondsOf(blocks, among, all)
	for k, members := range blocks {
		bound := found
		if len(members) < fewestToBond {
			bound = noBonds()
		}
		for _, i := range members {
			weighIn(among[k], bound, &all[i])
		}
	}
}
