package metrics

import (
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"rowlight/calibrate"
)

// PairFaces are the faces of an alley's two walls as a pair of photos shows them.
type PairFaces struct {
	walls   [2]*wall
	profile [2]wallShape
	boardM  float64
	bands   [pairBands]*PairFaces // each of one band of height; nil for too few leaves
}

// wallShape is what all slices of a wall have in common.
type wallShape struct {
	density [pairLayers]float64 // by layer, of all slices
	faceM   float64             // its face
	offM    [pairSlices]float64 // how far each metre about a slice stands outward of that
	offSDM  [pairSlices]float64
	spreadM float64 // of the offsets, one standard deviation
	densest float64 // layer's density
	// worth is how many findings a hit one metre off would be; it grows with the
	// square of the distance.
	worth float64
}

const (
	// offInM and offOutM bound how far off the row's mean face a metre of wall is
	// looked for: a bough reaches in, a gap between two trees falls back farther.
	offInM, offOutM = 1.0, 2.0
	offIn           = int(offInM / pairLayerM)
	offTries        = offIn + int(offOutM/pairLayerM) + 1
	// metreHalf is half a metre in slices.
	metreHalf = int(0.5 / pairSliceM)
	// strayDensity is the density that wrong matches leave in open air, over the
	// wall's own: nothing is ever impossible.
	strayRel = 0.002
)

// FindFaces finds both walls' faces.
func FindFaces(p *PairAlley) (*PairFaces, error) {
	f := &PairFaces{walls: p.believable(), boardM: p.BoardAheadM}
	for k, w := range f.walls {
		if err := w.enough(); err != nil {
			return nil, err
		}
		f.profile[k] = w.shape()
	}
	if err := openMiddle(f.walls); err != nil {
		return nil, err
	}
	for b := range f.bands {
		f.bands[b] = f.band(b)
	}
	return f, nil
}

// band is the same for the leaves of one band of height; nil where a wall has too
// few there.
func (f *PairFaces) band(b int) *PairFaces {
	out := &PairFaces{boardM: f.boardM}
	for k, w := range f.walls {
		one := &wall{side: w.side}
		for i := range w.at {
			one.at[i][b] = w.at[i][b]
		}
		if one.enough() != nil {
			return nil
		}
		out.walls[k], out.profile[k] = one, one.shape()
	}
	return out
}

// BandProfile is the clear width over each metre from 3 to 12 m ahead between bandM
// and a metre higher (0, 1, 2 or 3 m above the ground). ok is false where a wall has
// too few leaves so high, or no such band is kept.
func (f *PairFaces) BandProfile(bandM int) (p []AlleyWidth, ok bool) {
	if bandM < 0 || bandM >= pairBands || f.bands[bandM] == nil {
		return nil, false
	}
	return f.bands[bandM].Profile(), true
}

// shape takes the slices of a wall together: the common profile of density, and how
// far each metre of wall stands off it. The profile is of the slices as they are:
// laid over each other by their own offsets first, few leaves make a profile sharper
// than the wall (tried on practice_alley_00 to 02: 0.1 to 0.2 m too wide on 01).
func (w *wall) shape() wallShape {
	var s wallShape
	all := w.all()
	s.density = all.density()
	s.densest = slices.Max(s.density[:])
	s.worth = all.findings() / all.hitsAhead2
	s.faceM, _ = pairFaceM(&s.density)
	s.spreadM = w.spread(&s)
	for i := range w.at {
		s.offM[i], s.offSDM[i] = s.offset(w.metre(i), 0, s.spreadM)
	}
	return s
}

// metre is the metre of wall about a slice.
func (w *wall) metre(i int) *layers {
	var out layers
	for j := max(0, i-metreHalf); j <= min(pairSlices-1, i+metreHalf-1); j++ {
		out.add(w.slice(j))
	}
	return &out
}

// spread is how far the metres of a wall stand off its mean face, one standard
// deviation: of a few tried, from a clipped hedge to single trees with gaps between,
// the one under which its separate metres are likeliest (empirical Bayes).
func (w *wall) spread(s *wallShape) float64 {
	best, most := 0.0, math.Inf(-1)
	for _, sd := range [...]float64{0.15, 0.22, 0.33, 0.50, 0.75} {
		sum := 0.0
		for i := metreHalf; i < pairSlices; i += 2 * metreHalf {
			sum += s.evidence(w.metre(i), sd)
		}
		if sum > most {
			best, most = sd, sum
		}
	}
	return best
}

// evidence is ln of a piece's likelihood when its offset has mean 0 and this standard
// deviation.
func (s *wallShape) evidence(l *layers, sdM float64) float64 {
	logp := s.offsets(l, 0, sdM)
	best := math.Inf(-1)
	for _, v := range logp {
		best = math.Max(best, v)
	}
	sum := 0.0
	for _, v := range logp {
		sum += math.Exp(v - best)
	}
	return best + math.Log(sum) - math.Log(sdM)
}

// offset is how far outward of the common profile a piece of wall stands: the mean
// and standard deviation over the places tried, each weighted by its likelihood and
// by the prior.
func (s *wallShape) offset(l *layers, meanM, sdM float64) (offM, offSDM float64) {
	logp := s.offsets(l, meanM, sdM)
	best := math.Inf(-1)
	for _, v := range logp {
		best = math.Max(best, v)
	}
	var w, m, m2 float64
	for i, v := range logp {
		off, p := float64(i)*pairLayerM-offInM, math.Exp(v-best)
		w, m, m2 = w+p, m+p*off, m2+p*off*off
	}
	m, m2 = m/w, m2/w
	return m, math.Sqrt(math.Max(0, m2-m*m) + pairLayerM*pairLayerM/12)
}

// offsets is ln of likelihood times prior at each place tried.
func (s *wallShape) offsets(l *layers, meanM, sdM float64) (logp [offTries]float64) {
	for i := range logp {
		d := (float64(i)*pairLayerM - offInM - meanM) / sdM
		logp[i] = s.likelihood(l, i-offIn) - d*d/2
	}
	return logp
}

// levelShape: how dense a metre of wall is varies by 40 % (1 over the root of it)
// about the wall's mean. Of 0.5 to 50 tried this was among the likeliest for alleys of
// cmd/wideset (seed 101) drawn with their true depths.
const levelShape = 6.0

// likelihood is ln of the chance of a piece's findings, layer by layer, if the profile
// is moved out by shift layers: Poisson, with a level drawn from a gamma law about the
// wall's (integrated over it). Sights that run on through layers where leaves would be
// count as much as those that end there: a piece without a finding is a gap.
func (s *wallShape) likelihood(l *layers, shift int) float64 {
	if l.run == 0 {
		return 0
	}
	var hits, sum, expected float64
	for k := range l.hits {
		d := strayRel * s.densest
		if from := k - shift; from >= 0 && from < pairLayers {
			d += s.density[from]
		}
		hits += l.hits[k]
		expected += d * l.path[k]
		if l.hits[k] > 0 {
			sum += l.hits[k] * math.Log(d)
		}
	}
	if n := l.findings(); n > 0 {
		sum *= n / hits
	}
	expected *= s.worth * l.runAhead2 / l.run
	return sum - (l.findings()+levelShape)*math.Log(levelShape+expected)
}

const (
	// sliceRel: how far half a metre of wall, or a quarter, stands off its metre's
	// face, over the spread of the metres.
	sliceRel = 0.5
	// shapeSDM: what the profile's own form leaves open at each side: how much of a
	// crown's first metre is seen.
	shapeSDM = 0.03
	// shapeFindings: the wall's common profile counts as this many findings beside a
	// piece's own.
	shapeFindings = 10.0
	// pieceFindings: a piece of wall with fewer findings of its own stands where the
	// common profile and its offset put it.
	pieceFindings = 6.0
	faceDraws     = 60
)

// face is where a wall's face is over the slices from..to, metres outward of the
// board's middle: the face of the piece's own profile, filled up with the wall's
// common one, moved to where the piece stands. The error is the spread over random
// draws of the findings (Poisson) and of the offset. Where the metre about it shows few
// leaves it stands back, by an amount as uncertain as it is large.
func (f *PairFaces) face(k, from, to int) (m, sdM float64) {
	s, w := &f.profile[k], f.walls[k]
	from, to = max(0, from), min(pairSlices, to)
	var l layers
	var mean, variance float64
	for i := from; i < to; i++ {
		l.add(w.slice(i))
		mean += s.offM[i] / float64(to-from)
		variance += s.offSDM[i] * s.offSDM[i] / float64(to-from)
	}
	off, sd := mean, math.Sqrt(variance)
	if to-from < 2*metreHalf {
		off, sd = s.offset(&l, mean, math.Sqrt(variance+sliceRel*sliceRel*s.spreadM*s.spreadM))
	}
	rng := rand.New(rand.NewPCG(uint64(k), uint64(from*pairSlices+to))) // the same photos, the same numbers
	back := f.back(k, from, to)
	m = s.filled(&l, off, nil) + back
	var sum, sum2 float64
	for range faceDraws {
		v := s.filled(&l, off+sd*rng.NormFloat64(), rng)
		sum, sum2 = sum+v/faceDraws, sum2+v*v/faceDraws
	}
	return m, math.Sqrt(math.Max(0, sum2-sum*sum) + back*back)
}

// filled is the face of a piece of wall that stands offM off the common profile;
// with rng its findings are drawn anew.
func (s *wallShape) filled(l *layers, offM float64, rng *rand.Rand) float64 {
	n := l.findings()
	if n < pieceFindings {
		return s.faceM + offM
	}
	scale := n / l.total()
	shift := int(math.Round(offM / pairLayerM))
	var common [pairLayers]float64
	expected := 0.0
	for k := range common {
		if from := k - shift; from >= 0 && from < pairLayers {
			common[k] = s.density[from]
		}
		expected += common[k] * l.path[k]
	}
	var d [pairLayers]float64
	for k := range d {
		hits := l.hits[k] * scale
		if rng != nil && hits > 0 {
			hits = distuv.Poisson{Lambda: hits, Src: rng}.Rand()
		}
		prior := 1.0
		if expected > 0 {
			prior = (n + shapeFindings) / expected // its level is the piece's own
		}
		weight := shapeFindings / (n + shapeFindings)
		if l.path[k] < pairPathM {
			d[k] = prior * common[k]
			continue
		}
		d[k] = hits/l.path[k]*(1+shapeFindings/n)*(1-weight) + weight*prior*common[k]
	}
	v, ok := pairFaceM(&d)
	if !ok {
		return s.faceM + offM
	}
	return v
}

// ClearBetween is the clear width over a stretch of alley, metres ahead. Its error
// is the walls' own; what the pose leaves open is for who knows the pose.
func (f *PairFaces) ClearBetween(fromM, toM float64) Estimate {
	from, to := sliceAt(fromM), sliceAt(toM)
	l, lsd := f.face(0, from, max(to, from+1))
	r, rsd := f.face(1, from, max(to, from+1))
	e := fromParts(l+r, []calibrate.Part{
		{Name: PartSampling, SD: math.Hypot(lsd, rsd)},
		{Name: PartSegmentation, SD: math.Sqrt2 * shapeSDM},
	})
	return e.opened(f.thin(0, from, to), f.thin(1, from, to))
}

// fromParts is a length whose parts' squares add up.
func fromParts(m float64, parts []calibrate.Part) Estimate {
	var v float64
	for _, p := range parts {
		v += p.SD * p.SD
	}
	half := Z95 * math.Sqrt(v)
	return Estimate{Value: m, Low95: math.Max(0, m-half), High95: m + half, Parts: parts}
}

// WithPart widens a length by one more independent part.
func (e Estimate) WithPart(parts ...calibrate.Part) Estimate {
	down, up := (e.Value-e.Low95)/Z95, (e.High95-e.Value)/Z95
	for _, p := range parts {
		down, up = math.Hypot(down, p.SD), math.Hypot(up, p.SD)
	}
	e.Low95, e.High95 = math.Max(0, e.Value-Z95*down), e.Value+Z95*up
	e.Parts = calibrate.Joined(e.Parts, parts)
	return e
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
	return f.profile[k].faceM + f.profile[k].offM[i] + f.back(k, i, i+1)
}

// Profile is the clear width over each metre from 3 to 12 m ahead of which a leaf was
// found.
func (f *PairFaces) Profile() []AlleyWidth {
	var out []AlleyWidth
	for y := profileNearM; y < profileFarM; y++ {
		if f.SeenBetween(y, y+1) {
			out = append(out, AlleyWidth{y + 0.5, f.ClearBetween(y, y+1)})
		}
	}
	return out
}

const (
	narrowDraws = 2000
	// narrowTogether: errors of slices this near each other (a metre) go together,
	// since a slice leans on the metre about it.
	narrowTogether = 2 * metreHalf
)

// Narrowest is the least clear width of any quarter metre from 3 to 12 m ahead, from
// random draws of all faces within their errors, and where it is: the median place of
// the draws with the stretch that holds 95 % of them.
func (f *PairFaces) Narrowest() (width, aheadM Estimate) {
	rng := rand.New(rand.NewPCG(1, 1)) // the same photos, the same numbers
	least, _ := f.leastOf(rng, 1)
	width = ofDraws(least)
	width.Value, width.Low95 = math.Max(0, width.Value), math.Max(0, width.Low95)
	width.Parts = []calibrate.Part{{Name: PartSampling, SD: width.SD()}}
	width = width.WithPart(
		calibrate.Part{Name: PartSegmentation, SD: math.Sqrt2 * shapeSDM},
		calibrate.Part{Name: PartSampling, SD: math.Sqrt2 * faceLocalSDM},
	)
	_, at := f.leastOf(rng, metreHalf)
	return width, ofDraws(at)
}

// widths is the clear width about each quarter metre from 3 to 12 m, with half slices
// more to either side, its standard deviation, and how far thin walls may open it.
func (f *PairFaces) widths(half int) (m, sdM, openM []float64) {
	for i := sliceAt(profileNearM); i < sliceAt(profileFarM); i++ {
		l, lsd := f.face(0, i-half, i+1+half)
		r, rsd := f.face(1, i-half, i+1+half)
		from, to := metreAbout(i, i+1)
		thin := math.Hypot(f.thin(0, from, to), f.thin(1, from, to))
		m, sdM, openM = append(m, l+r), append(sdM, math.Hypot(lsd, rsd)), append(openM, thinSDM*thin)
	}
	return m, sdM, openM
}

// leastOf draws all widths many times: the least of each draw and where it is. Where
// a wall shows no leaf of its own each draw opens it by some of what a gap may: where
// nothing was seen is seldom where it is narrowest.
func (f *PairFaces) leastOf(rng *rand.Rand, half int) (least, at []float64) {
	mean, sd, open := f.widths(half)
	least, at = make([]float64, narrowDraws), make([]float64, narrowDraws)
	for d := range least {
		least[d] = math.Inf(1)
		gap := wander(rng, len(mean))
		for i, e := range wander(rng, len(mean)) {
			if v := mean[i] + sd[i]*e + open[i]*math.Abs(gap[i]); v < least[d] {
				least[d], at[d] = v, placeOf(i)
			}
		}
	}
	return least, at
}

func placeOf(i int) float64 { return profileNearM + (float64(i)+0.5)*pairSliceM }

// wander is normal noise of variance 1 whose neighbours within narrowTogether go
// together.
func wander(rng *rand.Rand, n int) []float64 {
	white := make([]float64, n+narrowTogether)
	for i := range white {
		white[i] = rng.NormFloat64()
	}
	out := make([]float64, n)
	for i := range out {
		for _, v := range white[i : i+narrowTogether] {
			out[i] += v / math.Sqrt(float64(narrowTogether))
		}
	}
	return out
}
