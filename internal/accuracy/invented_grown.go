package accuracy

import (
	"math"
	"math/rand/v2"

	"rowlight/metrics"
)

// A grown orchard: trees whose numbers hang together, as they do where one tree was
// cut three years ago and its neighbour last year. The model is ours; its numbers were
// written down before a ranking was run under it, and are not moved by what one comes
// to. The reasons stand at each; "notes" are the project's trade notes, their marks in
// brackets ([C] calculated, [CP] common practice), "memory" a figure without a source
// at hand, "spread kept" one chosen so that the number spreads among trees about as
// apart's does.
//
//	n   years since the tree's last real cut
//	v   its vigour, a factor
//	A   plant area over the ground under its crown, after the cut A0
//	    A = A0 (1 + g v)^n                                    (notes 8.3)
//	P   sunlit share of the floor at the reference sun
//	    -ln P = G A clumpDown / cos(reference zenith)         (notes 1.1, Beer-Lambert)
//	D   share of the outline filled with leaf
//	    -ln(1 - D) = G A clumpAcross                          (the same, level)
//	H   height = cut height + growth v n
//	W   crown's width across the row, in the same way; the alley is the row spacing
//	    less half of it and half of that of the tree opposite
const (
	// grownG: leaves of all directions alike (notes 1.2: use x = 1).
	grownG = 0.5
	// grownCutLight: a cut aims at a fifth of the floor lit ([CP], notes 6.1), which
	// gives A0. Cuts are made by eye to the cap (notes 7): 5 to 8 points of the leaf off
	// (notes 8.2) with 75 % of it left is a tenth.
	grownCutLight, grownCutSD = 0.20, 0.10
	// grownRegrowth a year, of leaf: the middle of what a plan takes before it has
	// learned (0.18 to 0.25, notes 8.3). Trunks' cross-sections within an orchard vary by
	// 15 to 30 % (memory): so does vigour.
	grownRegrowth, grownVigourSD = 0.22, 0.25
	// grownDown, grownAcross: clumping seen from above, and all that a level look at a
	// whole crown loses by clumping and shape. Notes 1.3 and 2.1 work 0.68 to 0.92 for
	// the first. The second is what the practice set's eight untouched trees come to,
	// from their leaf area, width and outline's share: 0.69, its logarithm spread by
	// 0.165, over six deliberate forms. One canopy, two looks: grownClumpSD of either
	// spread is shared.
	grownDown, grownAcross, grownClumpSD = 0.80, 0.69, 0.07
	// grownDownSD: clumping's own part (0.10, as the notes' examples spread), and leaf
	// that neighbours hang over the spot (the rest; spread kept).
	grownDownSD = 0.13
	// grownAcrossSD: a block's trees are more alike in form than the practice set's (0.15
	// without the shared part). Spread kept.
	grownAcrossSD = 0.12
	// grownCutHeightM: trees are cut to stay under 5 m for a year ([CP]). A top grows
	// 0.45 m a year beyond what bends (memory: 0.3 to 1 m). Own spread kept.
	grownCutHeightM, grownHeightM, grownHeightSD = 4.5, 0.45, 0.60
	// grownCutWidthM: half a metre of side over the 2.5 m alley ([CP]) is taken, since
	// sides come 0.35 m a year into it, both together, machines breaking the rest
	// (memory). Own spread kept.
	grownCutWidthM, grownWidthM, grownWidthSD = 5.1, 0.35, 0.60
	// A larger tree (age, soil, replants) is cut taller and wider. Spread kept.
	grownSizeHeightM, grownSizeWidthM = 0.35, 0.40
	// grownAlleySD: limbs that hang in, trunks off the row's line ([CP]: 0.2 m).
	grownAlleySD = 0.25
)

// grownYears: a block is cut over every third year, and is ranked two years after; an
// eighth of its trees were missed or taken later ("misses", notes 6.3), as many taken
// for themselves a year earlier.
func grownYears(rng *rand.Rand) float64 {
	switch rng.IntN(8) {
	case 0:
		return 1
	case 1:
		return 3
	default:
		return 2
	}
}

// grownBlock is what a block's trees share, by half of each spread among trees, as
// blocks of apart's do.
type grownBlock struct{ vigour, cut, size, height, width float64 }

func growBlock(rng *rand.Rand) grownBlock {
	half := func() float64 { return 0.5 * rng.NormFloat64() }
	return grownBlock{vigour: half(), cut: half(), size: half(), height: half(), width: half()}
}

// grow draws one tree of the block.
func (b grownBlock) grow(rng *rand.Rand) inventedTree {
	n, v, size := grownYears(rng), math.Exp(grownVigourSD*(b.vigour+rng.NormFloat64())), b.size+rng.NormFloat64()
	path := math.Cos(metrics.ReferenceZenithDeg * math.Pi / 180)
	area := -math.Log(grownCutLight) * path / (grownG * grownDown) *
		math.Exp(grownCutSD*(b.cut+rng.NormFloat64())) * math.Pow(1+grownRegrowth*v, n)
	clump := math.Exp(grownClumpSD * rng.NormFloat64())
	down := grownG * area * grownDown * clump * math.Exp(grownDownSD*rng.NormFloat64()) / path
	across := grownG * area * grownAcross * clump * math.Exp(grownAcrossSD*rng.NormFloat64())
	opposite := b.widthM(rng, grownYears(rng), math.Exp(grownVigourSD*(b.vigour+rng.NormFloat64())), b.size+rng.NormFloat64())
	own := b.widthM(rng, n, v, size)
	return inventedTree{
		sunlit:  math.Exp(-down),
		heightM: grownCutHeightM + grownSizeHeightM*size + grownHeightSD*(b.height+rng.NormFloat64()) + grownHeightM*v*n,
		alleyM:  math.Max(inventedLeastAlleyM, inventedRowsM-(own+opposite)/2+grownAlleySD*rng.NormFloat64()),
		density: 1 - math.Exp(-across),
	}
}

// widthM is a crown's width across the row, metres.
func (b grownBlock) widthM(rng *rand.Rand, n, v, size float64) float64 {
	return grownCutWidthM + grownSizeWidthM*size + grownWidthSD*(b.width+rng.NormFloat64()) + grownWidthM*v*n
}

// grown draws an orchard whose trees' numbers hang together.
func grown(rng *rand.Rand) []inventedTree {
	var out []inventedTree
	for range inventedBlocks {
		b := growBlock(rng)
		for range inventedTrees {
			out = append(out, b.grow(rng))
		}
	}
	return out
}
