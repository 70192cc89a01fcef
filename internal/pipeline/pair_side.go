package pipeline

import (
	"fmt"
	"math"

	"rowlight/calibrate"
	"rowlight/internal/overlay"
	"rowlight/metrics"
	"rowlight/vision/sideview"
)

// measureSidePair measures a tree by the depths that two photos give: leaves of the
// rows behind are left out, and its own stand where they hang.
func measureSidePair(first, second Shot) (ShotResult, error) {
	n, _, err := nearestBoard(first)
	if err != nil {
		return ShotResult{}, err
	}
	if _, err := sidePose(first); err != nil { // too far off, or not upright
		return ShotResult{}, err
	}
	look, err := lookAtPair(first, second, n, sidePoseOptions(first))
	if err != nil {
		return ShotResult{}, err
	}
	scene := newSideScene(first, look.pose.First)
	view := sideview.Look(first.Photo, scene.hints())
	plane := scene.plane(view, first.Set)
	scene.hideAlone(plane, look.pose.Second)
	points := scene.depthPoints(view, look)
	tree, err := metrics.FindLevelTree(plane, plane.Levelled(points))
	if err != nil {
		return ShotResult{}, err
	}
	if share := tree.KnownShare(); share < leastKnown {
		return ShotResult{}, &metrics.Unusable{
			Reason: fmt.Sprintf("%.0f %% of the tree's leaves were found in both photos, %.0f %% needed", 100*share, 100*leastKnown),
			Mend:   stepMend + ", the whole tree in both",
		}
	}
	r := &sideReport{scene: scene, view: view, tree: tree}
	r.flags(first)
	r.lengths()
	for i := range r.out.Measurements {
		r.out.Measurements[i].Method = PairMethod
	}
	if !first.NumbersOnly {
		r.out.Overlay = r.drawPair(first, points)
	}
	return r.out, nil
}

// hideAlone takes for unseen what only the first photo shows of the row's plane.
func (c *sideScene) hideAlone(p *metrics.SidePlane, second *calibrate.BoardPose) {
	for i := range p.Kind {
		px, ok := second.Project(c.onBoard(metrics.SidePoint{XM: p.XM(i % p.W), ZM: p.ZM(i / p.W)}))
		if !ok || px.X < 0 || px.Y < 0 || px.X > float64(c.photoW-1) || px.Y > float64(c.photoH-1) {
			p.Kind[i] = metrics.SideUnseen
		}
	}
}

// depthPoints are the leaves and limbs matched in both photos, laid on the row's plane.
func (c *sideScene) depthPoints(v *sideview.View, l *pairLook) []metrics.SideDepthPoint {
	face := c.pose.Face() // its normal points toward the reader
	alike := l.alike()
	var out []metrics.SideDepthPoint
	for y := range l.disp.H {
		for x := range l.disp.W {
			i := y*l.disp.W + x
			d := float64(l.disp.V[i])
			if !l.seen[i] || math.IsNaN(d) || l.patch[i] < pairSidePatch {
				continue
			}
			at := calibrate.Pixel{X: float64(x), Y: float64(y)}
			px, ok := l.rect.FirstPixel(at)
			if class, in := v.AtPhoto(px); !ok || !in || class != sideview.Foliage && class != sideview.Wood {
				continue
			}
			q := l.rect.Sight(at).Scale(l.rect.DepthM(d))
			out = append(out, metrics.SideDepthPoint{
				At: c.point(c.pose, px), BeforeM: c.scale * (face.Normal.Dot(q) - face.D), Alike: float64(alike.V[i]),
			})
		}
	}
	return out
}

// pairSidePatch is the fewest pixels of a patch that is believed: wrong matches hang
// together by chance in fewer (seen on practice_alley_00 to 02).
const pairSidePatch = 100

// leastKnown of the tree's leaves must be found in both photos, or their neighbours
// say where the tree ends. Ours: the worst of the photos it was set on has 0.32.
const leastKnown = 0.2

// drawPair shows what was matched, by how far before the row it hangs, and height
// and widths as they stand in the row's plane.
func (r *sideReport) drawPair(s Shot, points []metrics.SideDepthPoint) *overlay.Canvas {
	const every, reachM = 32, 2.0
	o := overlay.New(s.Photo.W, s.Photo.H, s.Photo.Pix)
	for i := 0; i < len(points); i += every {
		q := points[i]
		if px, ok := r.scene.pixel(q.At); ok && q.At.ZM > dotLowM && math.Abs(q.BeforeM) < reachM {
			o.Line(px, calibrate.Pixel{X: px.X + dotPx, Y: px.Y}, dotInk(dotNearM+(dotFarM-dotNearM)*(1-q.BeforeM/reachM)/2), dotPx)
		}
	}
	r.drawWidths(o)
	r.drawHeight(o)
	r.drawBoard(o)
	return o
}
