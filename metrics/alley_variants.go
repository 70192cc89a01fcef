package metrics

import "math"

// variants are a crown a little changed in one thing each, for the fit's slopes: what a
// sight passes on its way is the same for all of them, so it is worked out once.
type variants struct {
	own, length, base, top, low, high crown
}

// variantCount are those: length, base, top, low, high, in the order of the unknowns.
const variantCount = 5

// variantUnknowns lists the unknowns they are changed in.
func variantUnknowns() [variantCount]int { return [variantCount]int{uLength, uBase, uTop, uLow, uHigh} }

func (f *alleyFit) variants(u [alleyUnknowns]float64, h float64) (rows [2]alleyRow, v *variants) {
	v = &variants{}
	rows, v.own = f.model(u)
	for i, c := range [variantCount]*crown{&v.length, &v.base, &v.top, &v.low, &v.high} {
		w := u
		w[variantUnknowns()[i]] += h
		_, *c = f.model(w)
	}
	return rows, v
}

// open is Alley.open for each of the variants.
func (v *variants) open(a *Alley, r *alleyRow, outward, up float64) (out [variantCount]float64) {
	if outward < sideLeast {
		return [variantCount]float64{1, 1, 1, 1, 1}
	}
	c := &v.own
	step := 2 * crossReach * c.halfDepthM / crossSteps
	ahead, perTree := 1/outward, 1/a.SpacingM
	var tau [variantCount]float64
	for i := range crossSteps {
		across := -crossReach*c.halfDepthM + (float64(i)+0.5)*step
		x := r.lineM + across
		if x <= 0 {
			continue
		}
		y := x * ahead
		z := a.scene.CameraHeightM + up*y
		if z < 0 || z > math.Max(c.topM, v.top.topM)*1.3 {
			continue
		}
		k := math.Floor((y-r.firstM)*perTree + 0.5)
		v.add(&tau, across, y-r.firstM-k*a.SpacingM, z)
	}
	length := step * math.Sqrt(1+(1+up*up)/(outward*outward))
	for i, t := range tau {
		out[i] = a.exp.of(-c.perM * t * length)
	}
	return out
}

// add adds each variant's density at a place.
func (v *variants) add(tau *[variantCount]float64, across, along, z float64) {
	c := &v.own
	x, y := across*c.perDepth, along*c.perLength
	plan := x*x + y*y
	if h := (2*z - c.topM - c.baseM) * c.perHalf; z <= c.topM*1.3 && h < sideReach && h > -sideReach {
		side := c.sideAt(h)
		l := along * v.length.perLength
		tau[0] += leaves(x*x + l*l + side)
		same := leaves(plan + side)
		if h < 0 {
			tau[3] += leaves(plan + v.low.sideAt(h))
			tau[4] += same
		} else {
			tau[3] += same
			tau[4] += leaves(plan + v.high.sideAt(h))
		}
	}
	if b := &v.base; z <= b.topM*1.3 {
		if h := (2*z - b.topM - b.baseM) * b.perHalf; h < sideReach && h > -sideReach {
			tau[1] += leaves(plan + c.sideAt(h))
		}
	}
	if t := &v.top; z <= t.topM*1.3 {
		if h := (2*z - t.topM - t.baseM) * t.perHalf; h < sideReach && h > -sideReach {
			tau[2] += leaves(plan + c.sideAt(h))
		}
	}
}

// variantChances are the chances of canopy, ray by ray, of each variant.
func (f *alleyFit) variantChances(u [alleyUnknowns]float64, h float64) (out [variantCount][]float64) {
	rows, v := f.variants(u, h)
	for i := range out {
		out[i] = make([]float64, len(f.rays), len(f.rays)+len(f.looks))
	}
	for i, r := range f.rays {
		right, k := r.Right-u[uYaw], 1
		if right < 0 {
			right, k = -right, 0
		}
		for j, open := range v.open(f.a, &rows[k], right, r.Up) {
			out[j][i] = fogShare + (1-2*fogShare)*(1-open)
		}
	}
	return out
}
