package pipeline

import (
	"math"

	"rowlight/internal/orchard"
	"rowlight/metrics"
)

const (
	// pointsWanted is the half interval that a tree's sunlit share should have:
	// trade practice, plus and minus 5 points.
	pointsWanted = 0.05
	// leastPhotosForSpread: one photo says nothing of how photos differ.
	leastPhotosForSpread = 2
)

// moreFloorPhotos is how many more floor photos a tree wants, by the spread of its
// own; nil where they do not tell.
func moreFloorPhotos(l looks) *int {
	var shares []float64
	for _, e := range l[orchard.SunlitFractionRef] {
		shares = append(shares, e.Value)
	}
	if len(shares) < leastPhotosForSpread {
		return nil
	}
	more := max(0, metrics.PhotosNeeded(shares, pointsWanted)-len(shares))
	return &more
}

// blockQuantities are those whose mean over a block says something.
func blockQuantities() []orchard.Quantity {
	return []orchard.Quantity{
		orchard.SunlitFractionRef, orchard.AlleySunlit, orchard.HeightM, orchard.CrownWidthM,
		orchard.DensityFraction, orchard.ClearWidthM,
	}
}

// blockMeans are the means over each block's measured trees, in the blocks' order.
func blockMeans(o *orchard.Orchard, trees []orchard.TreeResult, all []looks) []orchard.BlockMean {
	var out []orchard.BlockMean
	for _, b := range o.Blocks {
		for _, q := range blockQuantities() {
			if m, ok := blockMean(b.Key, q, trees, all); ok {
				out = append(out, m)
			}
		}
	}
	return out
}

func blockMean(key string, q orchard.Quantity, trees []orchard.TreeResult, all []looks) (orchard.BlockMean, bool) {
	m := orchard.BlockMean{Block: key, Quantity: q}
	var byTree [][]float64
	for i, t := range trees {
		if t.ID.Block != key || len(all[i][q]) == 0 {
			continue
		}
		var values []float64
		for _, e := range all[i][q] {
			values = append(values, e.Value)
		}
		byTree = append(byTree, values)
		if f := t.Find(q); f != nil {
			m.Unit = f.Unit
		}
	}
	c := metrics.ClustersOf(byTree)
	m.Value, m.Trees, m.Photos = c.Mean, c.Trees, c.Looks
	if low, high := c.Interval95(); c.Trees > 1 {
		if m.Unit == shareUnit {
			low, high = max(0, low), min(1, high)
		}
		m.Low95, m.High95 = &low, &high
	}
	if !math.IsNaN(c.ICC) {
		m.ICC = &c.ICC
	}
	return m, c.Trees > 0
}
