package metrics

import (
	"math"
	"math/rand/v2"
)

// PairFaces are the faces of an alley's two walls as a pair of photos shows them.
type PairFaces struct {
	walls   [2]*wall
	profile [2]wallShape
	boardM  float64
}

// wallShape is what all slices of a wall have in common.
type wallShape struct {
	density [pairLayers]float64 // by layer, of slices laid over each other
	faceM   float64             // its face
	offM    [pairSlices]float64 // how far each metre about a slice stands outward of that
	offSDM  [pairSlices]float64
}

const (
	// offPriorSDM: how far a metre of wall stands off the row's mean face (uneven
	// trees and pruning). offMostM bounds what is tried.
	offPriorSDM, offMostM = 0.15, 0.60
	offTries              = 2*int(offMostM/pairLayerM) + 1
	alignRounds           = 3
	// metreHalf is half a metre in slices.
	metreHalf = int(0.5 / pairSliceM)
	// strayDensity is the density that wrong matches leave in open air, over the
	// wall's own: nothing is ever impossible.
	strayRel = 0.002
)

// FindFaces finds both walls' faces.
func FindFaces(p *PairAlley) (*PairFaces, error) {
	f := &PairFaces{walls: p.walls(), boardM: p.BoardAheadM}
	for k, w := range f.walls {
		if err := w.enough(); err != nil {
			return nil, err
		}
		f.profile[k] = w.align()
	}
	return f, nil
}

// align lays the slices of a wall over each other: the common profile of density,
// and how far each metre of wall stands off it.
func (w *wall) align() wallShape {
	var s wallShape
	for range alignRounds {
		var all layers
		for i := range w.at {
			all.add(w.slice(i), int(math.Round(s.offM[i]/pairLayerM)))
		}
		s.density = all.density()
		s.faceM, _ = pairFaceM(&s.density)
		for i := range w.at {
			var metre layers
			for j := max(0, i-metreHalf); j <= min(pairSlices-1, i+metreHalf-1); j++ {
				metre.add(w.slice(j), 0)
			}
			s.offM[i], s.offSDM[i] = s.offset(&metre, 0, offPriorSDM)
		}
	}
	return s
}

// offset is how far outward of the common profile a piece of wall stands: the mean
// and standard deviation over the places tried, each weighted by the Poisson
// likelihood of its hits (its share of findings for each hit) and by the prior.
func (s *wallShape) offset(l *layers, meanM, sdM float64) (offM, offSDM float64) {
	weight := 0.0
	if n := l.total(); n > 0 {
		weight = l.findings() / n
	}
	var logp [offTries]float64
	best := math.Inf(-1)
	for i := range logp {
		off := float64(i)*pairLayerM - offMostM
		d := (off - meanM) / sdM
		logp[i] = weight*s.likelihood(l, i-offTries/2) - d*d/2
		best = math.Max(best, logp[i])
	}
	var w, m, m2 float64
	for i, v := range logp {
		off, p := float64(i)*pairLayerM-offMostM, math.Exp(v-best)
		w, m, m2 = w+p, m+p*off, m2+p*off*off
	}
	m, m2 = m/w, m2/w
	return m, math.Sqrt(math.Max(0, m2-m*m) + pairLayerM*pairLayerM/12)
}

// likelihood is the Poisson log-likelihood of hits by layer, the profile moved out
// by shift layers and its level free.
func (s *wallShape) likelihood(l *layers, shift int) float64 {
	var hits, expected, sum float64
	mean := 0.0
	for _, v := range s.density {
		mean = math.Max(mean, v)
	}
	for k := range l.hits {
		d := strayRel * mean
		if from := k - shift; from >= 0 && from < pairLayers {
			d += s.density[from]
		}
		hits += l.hits[k]
		expected += d * l.path[k]
		if l.hits[k] > 0 {
			sum += l.hits[k] * math.Log(d)
		}
	}
	if hits == 0 || expected == 0 {
		return 0
	}
	return sum - hits*math.Log(expected)
}

const (
	// sliceSDM: how far half a metre of wall, or a quarter, stands off its metre's
	// face.
	sliceSDM = 0.08
	// shapeSDM: what the profile's own form leaves open at each side: how much of a
	// crown's first metre is seen.
	shapeSDM = 0.03
)

// face is where a wall's face is over the slices from..to, metres outward of the
// board's middle.
func (f *PairFaces) face(k, from, to int) (m, sdM float64) {
	s, w := &f.profile[k], f.walls[k]
	from, to = max(0, from), min(pairSlices, to)
	var l layers
	var mean, variance float64
	for i := from; i < to; i++ {
		l.add(w.slice(i), 0)
		mean += s.offM[i] / float64(to-from)
		variance += s.offSDM[i] * s.offSDM[i] / float64(to-from)
	}
	if to-from >= 2*metreHalf {
		mean, variance = s.offset(&l, 0, offPriorSDM)
		return s.faceM + mean, math.Hypot(variance, shapeSDM)
	}
	off, sd := s.offset(&l, mean, math.Sqrt(variance+sliceSDM*sliceSDM))
	return s.faceM + off, math.Hypot(sd, shapeSDM)
}

// ClearBetween is the clear width over a stretch of alley, metres ahead.
func (f *PairFaces) ClearBetween(fromM, toM float64) Estimate {
	from, to := sliceAt(fromM), sliceAt(toM)
	l, lsd := f.face(0, from, max(to, from+1))
	r, rsd := f.face(1, from, max(to, from+1))
	sd := math.Hypot(lsd, rsd)
	return Estimate{Value: l + r, Low95: math.Max(0, l+r-Z95*sd), High95: l + r + Z95*sd}
}

func sliceAt(aheadM float64) int { return int(math.Round((aheadM - pairNearM) / pairSliceM)) }

// ClearAt is the clear width at the board.
func (f *PairFaces) ClearAtBoard() Estimate {
	return f.ClearBetween(f.boardM-boardSliceM, f.boardM+boardSliceM)
}

// FaceM is where a wall's face stands at a distance ahead, metres outward of the
// board's middle.
func (f *PairFaces) FaceM(right bool, aheadM float64) float64 {
	k := 0
	if right {
		k = 1
	}
	i := min(max(sliceAt(aheadM), 0), pairSlices-1)
	return f.profile[k].faceM + f.profile[k].offM[i]
}

// Profile is the clear width over each metre from 3 to 12 m ahead.
func (f *PairFaces) Profile() []AlleyWidth {
	var out []AlleyWidth
	for y := profileNearM; y < profileFarM; y++ {
		out = append(out, AlleyWidth{y + 0.5, f.ClearBetween(y, y+1)})
	}
	return out
}

const narrowDraws = 2000

// Narrowest is the least clear width of any quarter metre from 3 to 12 m ahead and
// where it is, from random draws of all faces within their errors.
func (f *PairFaces) Narrowest() (width, aheadM Estimate) {
	first, last := sliceAt(profileNearM), sliceAt(profileFarM)
	mean, sd := make([]float64, last-first), make([]float64, last-first)
	for i := range mean {
		l, lsd := f.face(0, first+i, first+i+1)
		r, rsd := f.face(1, first+i, first+i+1)
		mean[i], sd[i] = l+r, math.Hypot(lsd, rsd)
	}
	rng := rand.New(rand.NewPCG(1, 1)) // the same photos, the same numbers
	least, at := make([]float64, narrowDraws), make([]float64, narrowDraws)
	for d := range least {
		least[d] = math.Inf(1)
		for i := range mean {
			if v := mean[i] + sd[i]*rng.NormFloat64(); v < least[d] {
				least[d], at[d] = v, profileNearM+(float64(i)+0.5)*pairSliceM
			}
		}
	}
	return ofDraws(least), ofDraws(at)
}
