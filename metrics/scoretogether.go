package metrics

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// covariance of a tree's quantities, each on its scale.
type covariance [quantityCount][quantityCount]float64

// weighing is one tree's measured quantities held against its block's.
type weighing struct {
	seen   []quantity
	among  blockSpreads
	bonds  bonds
	errors *mat.DiagDense // S, variances
	apart  *mat.VecDense  // y - mu
	total  *mat.SymDense  // the inverse of S + T
}

// weighIn moves a tree's measured values y, errors S, to
//
//	y - G (y - mu), G = c S (S + T)^-1, T = tau_q tau_o r_qo
//
// c Morris's factor (of two quantities the geometric mean). Their covariance is
//
//	S - G S + G var(mu) G' + diag(2/(n-3) (G (y - mu))^2)
//
// which for one number alone is Morris 1983's (J. Am. Stat. Assoc. 78:47-55, quoted
// from memory), the last term for tau being an estimate itself. A quantity m that was
// not measured moves from what its block leads one to expect by T_m (S + T)^-1 (y - mu),
// and is known the better for it.
func weighIn(among blockSpreads, r bonds, own *beliefs) {
	w := weighing{among: among, bonds: r}
	var missing []quantity
	var cov covariance
	for q := range quantityCount {
		cov[q][q] = own[q].sd * own[q].sd
		switch {
		case !among[q].known():
		case own[q].from == fromPhotos:
			w.seen = append(w.seen, q)
		case own[q].from == fromNeighbours:
			missing = append(missing, q)
		}
	}
	if len(w.seen) == 0 || !w.hold(own) {
		return
	}
	for _, m := range missing {
		w.expect(m, own, &cov)
	}
	w.move(own, &cov)
	own.spreadBy(cov)
}

// tau2 between two quantities.
func (w *weighing) tau2(q, o quantity) float64 {
	return math.Sqrt(w.among[q].tau2*w.among[o].tau2) * w.bonds[q][o]
}

// hold fills the matrices in. It cannot fail: no error is nothing, and the bonds can
// all be true at once.
func (w *weighing) hold(own *beliefs) bool {
	k := len(w.seen)
	sum := mat.NewSymDense(k, nil)
	w.errors, w.apart, w.total = mat.NewDiagDense(k, nil), mat.NewVecDense(k, nil), mat.NewSymDense(k, nil)
	for i, q := range w.seen {
		w.errors.SetDiag(i, own[q].error()*own[q].error())
		w.apart.SetVec(i, own[q].mean-w.among[q].mean)
		for j := range i + 1 {
			sum.SetSym(i, j, w.tau2(q, w.seen[j])+w.errors.At(i, j))
		}
	}
	var c mat.Cholesky
	return c.Factorize(sum) && c.InverseTo(w.total) == nil
}

// expect moves a quantity that was not measured by what the others lend.
func (w *weighing) expect(m quantity, own *beliefs, cov *covariance) {
	row, lent := mat.NewVecDense(len(w.seen), nil), mat.NewVecDense(len(w.seen), nil)
	for i, q := range w.seen {
		row.SetVec(i, w.tau2(m, q))
	}
	lent.MulVec(w.total, row)
	var by [quantityCount]float64
	for i, q := range w.seen {
		by[q] = lent.AtVec(i) * w.apart.AtVec(i)
		cov[m][q] = lent.AtVec(i) * w.errors.At(i, i)
		cov[q][m] = cov[m][q]
	}
	own[m].alone = own[m].mean
	own[m].mean += mat.Dot(lent, w.apart)
	own[m].lender = largest(by)
	// What the block leads one to expect holds the photos' errors too, so it is no
	// narrower than the trees; where chance has it so, the others tell no more than it.
	if tau2 := w.among[m].tau2; tau2 > 0 {
		cov[m][m] -= mat.Dot(lent, row) * math.Min(1, cov[m][m]/tau2)
	}
}

// move draws the measured quantities together.
func (w *weighing) move(own *beliefs, cov *covariance) {
	k := len(w.seen)
	var pull, kept, ofMeans mat.Dense
	pull.Mul(w.errors, w.total)
	pull.Apply(func(i, j int, v float64) float64 {
		return v * math.Sqrt(w.among[w.seen[i]].pullShare()*w.among[w.seen[j]].pullShare())
	}, &pull)
	means := mat.NewDiagDense(k, nil)
	for i, q := range w.seen {
		means.SetDiag(i, 1/w.among[q].weight)
	}
	kept.Mul(&pull, w.errors)
	kept.Sub(w.errors, &kept)
	ofMeans.Product(&pull, means, pull.T())
	for i, q := range w.seen {
		var moved float64
		var by [quantityCount]float64
		for j, o := range w.seen {
			step := pull.At(i, j) * w.apart.AtVec(j)
			moved += step
			if o != q {
				by[o] = step
			}
			cov[q][o] = kept.At(i, j) + ofMeans.At(i, j)
		}
		s, b := w.among[q], &own[q]
		cov[q][q] += 2 / float64(s.trees-3) * moved * moved
		b.alone = b.mean - s.pullShare()*(1-s.reliability(*b))*w.apart.AtVec(i)
		b.mean, b.weighed, b.lender = b.mean-moved, true, largest(by)
	}
}

// largest of the quantities by size.
func largest(by [quantityCount]float64) quantity {
	var out quantity
	for q, v := range by {
		if math.Abs(v) > math.Abs(by[out]) {
			out = quantity(q)
		}
	}
	return out
}

// spreadBy sets each quantity's standard deviation, and how they are drawn together:
// by the lower triangle whose product with its transpose is the covariance.
func (b *beliefs) spreadBy(cov covariance) {
	m := mat.NewSymDense(int(quantityCount), nil)
	for q := range quantityCount {
		b[q].sd = math.Sqrt(cov[q][q])
		for o := range q + 1 {
			m.SetSym(int(q), int(o), cov[q][o])
		}
		m.SetSym(int(q), int(q), math.Max(cov[q][q], leastSD*leastSD))
	}
	var c mat.Cholesky
	if !c.Factorize(m) {
		b.drawnApart() // numbers so wide apart in size that rounding tells
		return
	}
	var lower mat.TriDense
	c.LTo(&lower)
	for q := range quantityCount {
		for o := range q + 1 {
			b[q].lower[o] = lower.At(int(q), int(o))
		}
	}
}

// drawnApart draws every quantity on its own.
func (b *beliefs) drawnApart() {
	for q := range quantityCount {
		b[q].lower = [quantityCount]float64{}
		b[q].lower[q] = b[q].sd
	}
}
