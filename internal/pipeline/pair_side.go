package pipeline

import (
	"fmt"
	"math"

	"rowlight/calibrate"
	"rowlight/internal/orchard"
	"rowlight/internal/overlay"
	"rowlight/metrics"
	"rowlight/vision/sideview"
)

// measureSidePair measures a tree's height by the depths that two photos give.
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
	tree, err := metrics.FindSideTree(scene.plane(view, first.Set))
	if err != nil {
		return ShotResult{}, err
	}
	if tree.CutTop {
		return ShotResult{}, &metrics.Unusable{
			Reason: "the top of the tree is cut off by the picture",
			Mend:   "step back until the whole tree is in both pictures",
		}
	}
	points := scene.depthPoints(view, look)
	l, ok := tree.PairHeight(points)
	if !ok {
		return ShotResult{}, &metrics.Unusable{
			Reason: "too little of the tree's top was found in both photos",
			Mend:   "take the second photo a step (0.4 to 0.7 m) to the side of the first, the whole tree in both",
		}
	}
	r := &sideReport{scene: scene, view: view, tree: tree}
	m := r.length(orchard.HeightM, l)
	m.Method = PairMethod
	r.add(m)
	if !first.NumbersOnly {
		r.out.Overlay = scene.drawDepths(first, points, l)
	}
	return r.out, nil
}

// depthPoints are the leaves matched in both photos, laid on the row's plane.
func (c *sideScene) depthPoints(v *sideview.View, l *pairLook) []metrics.SideDepthPoint {
	face := c.pose.Face() // its normal points toward the reader
	var out []metrics.SideDepthPoint
	for y := 0; y < l.disp.H; y += pairSightStep {
		for x := 0; x < l.disp.W; x += pairSightStep {
			i := y*l.disp.W + x
			d := float64(l.disp.V[i])
			if !l.seen[i] || math.IsNaN(d) || l.patch[i] < pairSidePatch {
				continue
			}
			at := calibrate.Pixel{X: float64(x), Y: float64(y)}
			px, ok := l.rect.FirstPixel(at)
			if class, in := v.AtPhoto(px); !ok || !in || class != sideview.Foliage {
				continue
			}
			q := l.rect.Sight(at).Scale(l.rect.DepthM(d))
			out = append(out, metrics.SideDepthPoint{
				At: c.point(c.pose, px), BeforeM: c.scale * (face.Normal.Dot(q) - face.D),
			})
		}
	}
	return out
}

// pairSidePatch is the fewest pixels of a patch that is believed: wrong matches hang
// together by chance in fewer (seen on practice_alley_00 to 02).
const pairSidePatch = 100

// drawDepths shows what was matched, by how far before the row it hangs, and the
// height.
func (c *sideScene) drawDepths(s Shot, points []metrics.SideDepthPoint, l metrics.SideLength) *overlay.Canvas {
	o := overlay.New(s.Photo.W, s.Photo.H, s.Photo.Pix)
	for i := 0; i < len(points); i += 8 {
		q := points[i]
		if px, ok := c.pixel(q.At); ok && math.Abs(q.BeforeM) < 2 {
			o.Line(px, calibrate.Pixel{X: px.X + dotPx, Y: px.Y}, dotInk(dotNearM+(dotFarM-dotNearM)*(1-q.BeforeM)/2), dotPx)
		}
	}
	if len(l.Points) == 1 {
		if px, ok := c.pixel(l.Points[0]); ok {
			o.Circle(px, float64(s.Photo.W)/80, overlay.Red, 3)
			words := fmt.Sprintf("%.2f m high, from two photos", l.M)
			if err := o.Text(calibrate.Pixel{X: px.X, Y: px.Y + float64(s.Photo.H)/40}, words, overlay.White); err != nil {
				return o // the circle says it too
			}
		}
	}
	return o
}
