package metrics

import "rowlight/metrics/wallsums"

// The fit holds its models against sights and looks in package wallsums, in floats: what
// they lose lies far below what a sight tells.

// see lays out what the photo shows. Too few looks tell no shade's edge and count for none.
func (f *alleyFit) see(rays []AlleyRay, looks []AlleyFloorLook) {
	if len(looks) < leastLooks {
		looks = nil
	}
	f.sights = wallsums.NewSights(len(rays))
	for i, r := range rays {
		f.sights.Set(i, r.Right, r.Up, r.Canopy)
	}
	f.looks, f.fewLooks = looksOf(looks, 1), looksOf(looks, fewLooks)
}

// looksOf lays out one look of so many.
func looksOf(looks []AlleyFloorLook, every int) *wallsums.Sights {
	out := wallsums.NewSights((len(looks) + every - 1) / every)
	for i := range out.Len() {
		l := looks[i*every]
		out.Set(i, l.RightM, l.AheadM, l.Shade)
	}
	return out
}

// wideCrown is the crown as sights see it.
func (m *alleyModel) wideCrown() *wallsums.Crown {
	c := &m.crown
	w := &wallsums.Crown{
		Yaw: float32(m.yaw), CameraM: float32(m.cameraM), LeastRight: sideLeast,
		CellAt: float32((2*m.cameraM-c.topM-c.baseM)*c.perHalf*sidePerH + sideSteps), CellsPerHalf: sidePerH,
		PerTree: float32(m.perTree), TreeLengths: float32(m.spacingM * c.perLength), PerLength: float32(c.perLength), PerHalf: float32(c.perHalf),
		PerM: float32(c.perM), BaseByBase: float32(m.baseByBase), TopByBase: float32(m.topByBase), TopByTop: float32(m.topByTop), Fog: fogShare,
	}
	for i, s := range c.side {
		w.Side[i] = wallsums.SideCell{At: float32(s.at), Rise: float32(s.rise), Form: float32(s.form), FormRise: float32(s.formRise)}
	}
	return w
}

// wide is the row as sights cross it.
func (s *crossing) wide(perTree float64) *wallsums.Crossing {
	w := &wallsums.Crossing{
		Side: float32(s.side), LineM: float32(s.lineM), FirstTrees: float32(s.firstM * perTree), StepM: float32(s.stepM), LineMoves: float32(s.lineMoves),
	}
	for i := range s.share {
		w.OutM[i], w.OutSteps[i], w.Plan[i] = float32(s.outM[i]), float32(s.outSteps[i]), float32(s.plan[i])
		w.Share[i], w.LineShare[i], w.DepthShare[i] = float32(s.share[i]), float32(s.lineShare[i]), float32(s.depthShare[i])
	}
	return w
}

// wideSun is both rows as the sun sees them.
func (m *alleyModel) wideSun() *wallsums.Sun {
	c := &m.crown
	w := &wallsums.Sun{
		Yaw: float32(m.yaw), PerDepth: float32(c.perDepth), PerTree: float32(m.perTree), TreeLengths: float32(m.spacingM * c.perLength),
		PerLength: float32(c.perLength), PerM: float32(c.perM), Fog: sunFogShare, Reach: crossReach + shadeEdge, PerEdge: 1 / (2 * shadeEdge),
		Left: float32(m.sunLeft), Right: float32(m.sunRight), LengthM: float32(m.sunLengthM), X: float32(m.sunX), Y: float32(m.sunY),
		LowM: float32(m.sunLowM), StepM: float32(m.sunStepM),
		LowBase: float32(m.lowBase), LowTop: float32(m.lowTop), StepBase: float32(m.sunBase), StepTop: float32(m.sunTop),
		PerBase: float32(m.perBase), PerTop: float32(m.perTop), PerX: float32(m.perX), PerY: float32(m.perY),
	}
	for k, r := range m.rows {
		w.Rows[k] = wallsums.SunRow{Side: float32(r.side), LineM: float32(r.lineM), FirstM: float32(r.firstM), LineMoves: float32(r.lineMoves)}
	}
	for i, l := range m.sun {
		w.Layers[i] = wallsums.SunLayer{
			Across: float32(l.across), Trees: float32(l.trees), Side: float32(l.side), SideByBase: float32(l.sideByBase), SideByTop: float32(l.sideByTop),
			Form: float32(l.form), Steps: float32(l.steps), High: int32(l.which),
		}
	}
	return w
}

// pull adds so many votes for each that was counted to a point, the first count unknowns'
// left line standing for line.
func (o *fitPoint) pull(s *wallsums.Sums, count, line int, votes float64) {
	place := func(j int) int {
		if j == uLeft {
			return line
		}
		return j
	}
	for j := range count {
		at := place(j)
		o.grad.SetVec(at, o.grad.AtVec(at)+s.Grad[j]*votes)
		for k := j; k < count; k++ {
			o.info.SetSym(at, place(k), o.info.At(at, place(k))+s.Info[j][k]*votes)
		}
	}
}
