package floorlight

import (
	"math"

	"rowlight/vision"
)

const (
	// colourDoubt is how far the colour of a fraction of sun lies off what the mixture
	// says of it, in ln of red and of blue to green, beside the floor's own colours: the
	// shade's colour differs from place to place, and a camera's curve bends each channel
	// by itself. With none a floor of two colours (soil and weeds) was split by them.
	// Chosen on wide sets 11001 to 11004 (of 0.05 to 0.25) with the practice photos in view.
	colourDoubt = 0.20
	// redBurnt: from this much light on red, which is the first to burn out on a sunlit
	// floor, is on the curve's shoulder and counts for nothing.
	redBurnt = 0.35
	// blendDark keeps the log of black finite.
	blendDark = 0.0005
	// blendSample pixels fix the mixture; with twice as many shares erred by as much.
	blendSample = 3000
	// blendTries rounds are given to each start; half as many do not tell the best of them.
	blendTries = 15
	// priorRed and priorBlue: how the sun's ln of red and of blue to green differs from the
	// shade's where no sun shows to tell (wide sets 11001 and 11002: 0.2 to 0.5, -0.25 to
	// -0.65), which together is the warmth of leastWarmth's reason.
	priorRed, priorBlue, priorColourSD = 0.38, -0.50, 0.12
	// blendWeight is the blend's against that of light alone where they agree, and mostApart
	// how many times root p(1-p) they lie apart where it has fallen to half: chosen with wide
	// sets 11001 to 11004 and 23917 and the practice photos in view. Both together err by less
	// than either on the latter two, and hardly more than the blend on the first. leastShare
	// keeps that root off nought.
	blendWeight, mostApart, leastShare = 0.65, 0.2, 0.005
	// leastShown of a light shows what it is like.
	leastShown = 10
)

// blendStarts are up to what fraction of sun, by light alone, pixels are shade to begin
// with, and from which on they are sun.
func blendStarts() [3][2]float32 { return [3][2]float32{{.10, .80}, {.30, .95}, {.05, .50}} }

// blend is the split of a floor's light by brightness and colour together. Reflectance is
// about log-normal in each channel, the same in sun and shade; a share f of the sun adds f
// of its light to each channel. A pale leaf in the shade is bright and has the shade's
// colour, which brightness alone cannot tell from penumbra.
type blend struct {
	reference  [3]float64
	shade, sun [3]float64 // ln of green, of red to green, of blue to green, less the reference
	spread     [3][3]float64
	weight     [parts]float64
	score      float64
}

// blended fits it to the floor as the mixture of light left it, and puts its fractions in
// that one's place, unless it finds one light only where brightness told two. It returns
// how much brighter the sun is than the shade, in the light that the floor was split by.
func (s *scene) blended() (contrast float64) {
	red, green, blue, even := s.plane(0), s.plane(1), s.plane(2), s.plane(3)
	s.smooth(fitGrains, one(s.lin.R, red, blendDark), one(s.lin.G, green, blendDark), one(s.lin.B, blue, blendDark))
	copy(even, green)
	if level := s.shadeLevel(green); level != nil {
		vision.LessBroad(green, level, s.w, even)
	}
	burnt := float32(math.Log(redBurnt + blendDark))
	px, frac, reference := s.blendPixels(even, red, green, blue, burnt)
	l, best := newLaw(), blend{score: math.Inf(-1)}
	for _, at := range blendStarts() {
		b := startBlend(px, frac, at[0], at[1])
		for round := range blendTries {
			b.step(px, l, round+1 == blendTries)
		}
		if b.score > best.score {
			best = b
		}
	}
	best.reference = reference
	var fraction [parts]float32
	fraction[1] = 1
	for k, f := range penumbraFractions() {
		fraction[2+k] = float32(f)
	}
	byLight := s.mixFrac
	s.mixFrac = even // off the floor it means nothing
	best.table().Fractions(fraction, s.floor, even, red, green, blue, burnt, s.mixFrac)
	found := s.lights()
	both := s.mixFrac
	s.mixFrac = byLight
	if !found.shown(s.grain) {
		return found.contrast
	}
	s.reconcile(both)
	return best.contrast(float64(s.kg), float64(s.kb))
}

// reconcile puts the two opinions together, by light alone and with colour, pixel by pixel.
// Their errors are partly each one's own, so a mean errs by less than either; where they say
// so different shares that one of them has gone wrong, the blend's weight falls off as Cauchy's.
func (s *scene) reconcile(coloured []float32) {
	plain, both := vision.MarkedSums(s.floor, s.mixFrac, coloured)
	n := float64(s.count)
	plain, both = plain/n, both/n
	mean := min(max((plain+both)/2, leastShare), 1-leastShare)
	apart := (both - plain) / (mostApart * math.Sqrt(mean*(1-mean)))
	vision.MoveToward(s.floor, s.mixFrac, coloured, float32(blendWeight/(1+apart*apart)))
}

// contrast is the light of sun over that of shade, green and blue weighed.
func (b *blend) contrast(kg, kb float64) float64 {
	light := func(v [3]float64) float64 {
		g := math.Exp(b.reference[0] + v[0])
		return g * (kg + kb*math.Exp(b.reference[2]+v[2]))
	}
	return light(b.sun) / light(b.shade)
}

// blendPixels takes blendSample of the floor's pixels or so, evenly, and what light alone
// makes of each; they are less the first one's numbers, and the whole ones come first.
func (s *scene) blendPixels(even, red, green, blue []float32, burnt float32) (px vision.BlendPixels, frac []float32, reference [3]float64) {
	places := vision.EveryMarked(s.floor, blendSample)
	n := len(places) / vision.BlendSteps * vision.BlendSteps
	room := make([]float32, 5*n)
	part := func(k int) []float32 { return room[k*n : (k+1)*n] }
	px, frac = vision.BlendPixels{Light: part(0), Red: part(1), Blue: part(2), Whole: part(3)}, part(4)
	whole, bare := 0, n
	for k, i := range places[:n] {
		at := [3]float64{float64(even[i]), float64(red[i] - green[i]), float64(blue[i] - green[i])}
		if k == 0 {
			reference = at
		}
		to := whole
		if red[i] > burnt {
			bare--
			to = bare
		} else {
			px.Whole[to] = 1
			whole++
		}
		px.Light[to] = float32(at[0] - reference[0])
		px.Red[to] = float32(at[1] - reference[1])
		px.Blue[to] = float32(at[2] - reference[2])
		frac[to] = s.mixFrac[i]
	}
	return px, frac, reference
}

// startBlend takes what light alone makes of the pixels.
func startBlend(px vision.BlendPixels, frac []float32, dark, bright float32) blend {
	var sums [2]vision.BlendLight
	for i, f := range frac {
		if px.Whole[i] == 0 || f >= dark && f <= bright {
			continue
		}
		k := 0
		if f > bright {
			k = 1
		}
		l, r, b := float64(px.Light[i]), float64(px.Red[i]), float64(px.Blue[i])
		t := &sums[k]
		t.Weight, t.WholeWeight = t.Weight+1, t.WholeWeight+1
		t.Light, t.Red, t.Blue = t.Light+l, t.Red+r, t.Blue+b
		t.LightLight, t.RedRed, t.BlueBlue = t.LightLight+l*l, t.RedRed+r*r, t.BlueBlue+b*b
		t.RedLight, t.LightBlue, t.RedBlue = t.RedLight+l*r, t.LightBlue+l*b, t.RedBlue+r*b
	}
	var b blend
	means := [2][3]float64{meansOf(sums[0], b.shade), meansOf(sums[1], b.sun)}
	usual := [3]float64{math.Log(priorContrast), priorRed, priorBlue}
	for c := range 3 {
		switch {
		case sums[1].Weight < leastShown:
			means[1][c] = means[0][c] + usual[c]
		case sums[0].Weight < leastShown:
			means[0][c] = means[1][c] - usual[c]
		}
	}
	b.shade, b.sun = means[0], means[1]
	b.spread = spreadsOf(sums, means)
	b.weight[0], b.weight[1] = 0.5, 0.2
	for k := range penumbraTeeth {
		b.weight[2+k] = 0.3 / penumbraTeeth
	}
	return b
}

// meansOf are a light's three numbers; those of which nothing is seen stay.
func meansOf(l vision.BlendLight, old [3]float64) [3]float64 {
	if l.Weight > 0 {
		old[0], old[2] = l.Light/l.Weight, l.Blue/l.Weight
	}
	if l.WholeWeight > 0 {
		old[1] = l.Red / l.WholeWeight
	}
	return old
}

// spreadsOf are the variances and covariances about both lights' means, one for both: the
// floor is the same in sun and shade.
func spreadsOf(sums [2]vision.BlendLight, means [2][3]float64) (v [3][3]float64) {
	const least = 1e-9
	all, whole := least, least
	for k, s := range sums {
		m, n, w := means[k], s.Weight, s.WholeWeight
		all, whole = all+n, whole+w
		v[0][0] += s.LightLight - n*m[0]*m[0]
		v[0][2] += s.LightBlue - n*m[0]*m[2]
		v[2][2] += s.BlueBlue - n*m[2]*m[2]
		v[0][1] += s.RedLight - w*m[0]*m[1]
		v[1][1] += s.RedRed - w*m[1]*m[1]
		v[1][2] += s.RedBlue - w*m[1]*m[2]
	}
	v[0][0], v[0][2], v[2][2] = v[0][0]/all, v[0][2]/all, v[2][2]/all
	v[0][1], v[1][1], v[1][2] = v[0][1]/whole, v[1][1]/whole, v[1][2]/whole
	v[1][0], v[2][0], v[2][1] = v[0][1], v[0][2], v[1][2]
	v[0][0] = math.Min(math.Max(v[0][0], leastSD*leastSD), mostSD*mostSD)
	v[1][1], v[2][2] = math.Max(v[1][1], 0), math.Max(v[2][2], 0)
	return v
}

// step is one round of expectation and maximisation; score is worked out where it is asked
// for.
func (b *blend) step(px vision.BlendPixels, l *law, scored bool) {
	s := b.table().Sums(px, scored)
	n := float64(len(px.Light))
	means := [2][3]float64{meansOf(s.Lights[0], b.shade), meansOf(s.Lights[1], b.sun)}
	b.spread = spreadsOf(s.Lights, means)
	b.shade = means[0]
	z := 0.0
	for c, usual := range [3]float64{math.Log(priorContrast), priorRed, priorBlue} {
		sd, shown := priorColourSD, s.Lights[1].Weight
		switch c {
		case 0:
			sd = priorSD
		case 1:
			shown = s.Lights[1].WholeWeight
		}
		prior, data := priorWeight/(sd*sd), shown/n/math.Max(b.spread[c][c], 1e-4)
		b.sun[c] = (means[1][c]*data + prior*(b.shade[c]+usual)) / (data + prior)
		if c == 0 {
			z = (b.sun[0] - b.shade[0] - usual) / sd
		}
	}
	b.score = s.LnLikelihood/n - priorWeight*0.5*z*z
	for k := range s.Weight {
		s.Weight[k] /= n
	}
	b.weight = l.fit(s.Weight)
}

// middles are the parts' three numbers: in each channel a fraction adds its part of the
// sun's light to the shade's.
func (b *blend) middles() (at [parts][3]float64) {
	at[0], at[1] = b.shade, b.sun
	channels := func(v [3]float64) [3]float64 {
		return [3]float64{math.Exp(v[0]), math.Exp(v[0] + v[1]), math.Exp(v[0] + v[2])}
	}
	shade, sun := channels(b.shade), channels(b.sun)
	for k, f := range penumbraFractions() {
		var ln [3]float64
		for c := range ln {
			ln[c] = math.Log((1-f)*shade[c] + f*sun[c])
		}
		at[2+k] = [3]float64{ln[0], ln[1] - ln[0], ln[2] - ln[0]}
	}
	return at
}

// table readies it for the pixels.
func (b *blend) table() *vision.Blend {
	v := b.spread
	v[1][1] += colourDoubt * colourDoubt
	v[2][2] += colourDoubt * colourDoubt
	out := &vision.Blend{}
	for c, r := range b.reference {
		out.Reference[c] = float32(r)
	}
	bare := v
	bare[0][1], bare[1][0], bare[1][2], bare[2][1] = 0, 0, 0, 0
	middles := b.middles()
	for q, cov := range [2][3][3]float64{v, bare} {
		t, per := whitening(cov)
		if q == 1 { // red counts for nothing
			per *= math.Sqrt(cov[1][1])
			t[2] = 0
		}
		for i := range t {
			t[i] *= halving
		}
		for i, w := range t {
			out.Whiten[q][i] = float32(w)
		}
		for k, at := range middles {
			out.Middle[q][k] = [3]float32{float32(t[0] * at[0]), float32(t[1]*at[0] + t[2]*at[1]), float32(t[3]*at[0] + t[4]*at[1] + t[5]*at[2])}
			out.Weight[q][k] = float32(b.weight[k] * per)
		}
	}
	return out
}

// halving turns squares of spreads into powers of 1/2: e^(-z^2/2) = 2^-(halving z)^2.
const halving = 0.84932180028801904272 // the root of 1/(2 ln 2)

// whitening is the inverse of a covariance's Cholesky factor, row by row, and its
// determinant.
func whitening(v [3][3]float64) (t [6]float64, det float64) {
	const least = 1e-6 // of a variance left over, against rounding
	root := func(x float64) float64 { return math.Sqrt(math.Max(x, least)) }
	a := root(v[0][0])
	b := v[1][0] / a
	c := root(v[1][1] - b*b)
	d := v[2][0] / a
	e := (v[2][1] - d*b) / c
	f := root(v[2][2] - d*d - e*e)
	t[0], t[2], t[5] = 1/a, 1/c, 1/f
	t[1] = -b * t[0] * t[2]
	t[4] = -e * t[2] * t[5]
	t[3] = -(d*t[0] + e*t[1]) * t[5]
	return t, t[0] * t[2] * t[5]
}
