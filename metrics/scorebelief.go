package metrics

import "math"

// quantity is one of the measured things a score is made of.
type quantity int

const (
	ofSunlit quantity = iota
	ofHeight
	ofAlley
	ofDensity
	ofTaper
	quantityCount
)

// scale of the quantity, where its errors are near normal.
func (q quantity) scale() scale {
	switch q {
	case ofSunlit, ofDensity:
		return logitScale()
	case ofTaper:
		return logScale()
	default:
		return identityScale()
	}
}

// wideSD is how far trees of a block may lie apart where fewer than three were
// measured to show it: a share of 10 % may be 4 or 23 (logit 1), a height a
// metre and a half more or less, an alley a metre, a taper a quarter. Ours.
func (q quantity) wideSD() float64 {
	return [quantityCount]float64{ofSunlit: 1, ofHeight: 1.5, ofAlley: 1, ofDensity: 1, ofTaper: 0.25}[q]
}

func (t *ScoreTree) estimates(q quantity) []Estimate {
	return [quantityCount][]Estimate{t.Sunlit, t.HeightM, t.ClearAlleyM, t.Density, t.TopToBottom}[q]
}

// source is where a belief comes from.
type source int

const (
	fromPhotos     source = iota
	fromNeighbours        // the spread of the block's other trees, or the orchard's
	fromNowhere           // no tree has it
)

// belief is what is held of one quantity of one tree, on its scale.
type belief struct {
	mean, sd float64
	// seen is the photos' own mean, before the block's was weighed in; alone what it
	// came to by that alone, before the tree's other quantities lent to it, lender most.
	seen, alone float64
	lender      quantity
	from        source
	// weighed: the block's mean was weighed in.
	weighed bool
	// lower is the quantity's row of the triangle that draws the tree's quantities
	// together (beliefs.drawn).
	lower [quantityCount]float64
}

type beliefs [quantityCount]belief

// weighed is a quantity drawn toward its block's mean, and by the tree's other
// quantities where they go together, with its 95 % interval; nil
// where it was not measured or its block could not be weighed in.
func (b beliefs) weighed(q quantity) *Estimate {
	v := b[q]
	if !v.weighed {
		return nil
	}
	sc, half := q.scale(), Z95*v.sd
	return &Estimate{Value: sc.from(v.mean), Low95: sc.from(v.mean - half), High95: sc.from(v.mean + half)}
}

func (b beliefs) nothing() bool {
	for _, v := range b {
		if v.from == fromPhotos {
			return false
		}
	}
	return true
}

// fewestNeighbours: below three trees their own spread says too little.
const fewestNeighbours = 3

// drawn is one draw of all quantities by standard normal numbers.
func (b beliefs) drawn(z [quantityCount]float64) [quantityCount]float64 {
	var out [quantityCount]float64
	for q := range quantityCount {
		v := b[q].mean
		for o := range q + 1 {
			v += b[q].lower[o] * z[o]
		}
		out[q] = q.scale().from(v)
	}
	return out
}

// believe fills in every quantity of every tree: its photos' mean with the
// spread between photos pooled over all trees, drawn toward its block's mean, or
// else its block's spread; and lets the quantities lend to each other.
func believe(trees []ScoreTree) []beliefs {
	out := make([]beliefs, len(trees))
	for q := range quantityCount {
		looks := make([][]look, len(trees))
		for i := range trees {
			looks[i] = q.scale().looks(trees[i].estimates(q))
		}
		pooled := poolBetween(looks)
		for i := range trees {
			out[i][q].from = fromNowhere
			if len(looks[i]) > 0 {
				mean, half := combineLooks(looks[i], pooled)
				out[i][q] = belief{mean: mean, sd: half / Z95, seen: mean, alone: mean, from: fromPhotos}
			}
		}
		fillIn(trees, out, q)
	}
	for i := range out {
		out[i].drawnApart()
	}
	shrinkBlocks(trees, out)
	return out
}

// fillIn gives trees without a measurement the spread of their block's trees, or
// of all trees where the block has none.
func fillIn(trees []ScoreTree, all []beliefs, q quantity) {
	byBlock := map[string][]float64{}
	var everywhere []float64
	for i, t := range trees {
		if b := all[i][q]; b.from == fromPhotos {
			byBlock[t.Block] = append(byBlock[t.Block], b.mean)
			everywhere = append(everywhere, b.mean)
		}
	}
	for i, t := range trees {
		if all[i][q].from == fromPhotos || len(everywhere) == 0 {
			continue
		}
		values := byBlock[t.Block]
		if len(values) == 0 {
			values = everywhere
		}
		all[i][q] = predict(values, q.wideSD())
	}
}

// predict is what to expect of one more tree like those measured.
func predict(values []float64, wideSD float64) belief {
	n := float64(len(values))
	var sum, sum2 float64
	for _, v := range values {
		sum += v
	}
	mean := sum / n
	for _, v := range values {
		sum2 += (v - mean) * (v - mean)
	}
	sd := wideSD
	if len(values) > 1 {
		sd = math.Sqrt(sum2 / (n - 1))
	}
	if len(values) < fewestNeighbours {
		sd = math.Max(sd, wideSD)
	}
	return belief{mean: mean, sd: sd * math.Sqrt(1+1/n), seen: mean, alone: mean, from: fromNeighbours}
}
