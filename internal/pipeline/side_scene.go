package pipeline

import (
	"math"

	"rowlight/calibrate"
	"rowlight/metrics"
	"rowlight/vision/sideview"
)

// sideScene lays the row's plane (through the upright board's face) into the
// photo: metres along the row from the sheet's middle, metres above the ground.
type sideScene struct {
	pose   *calibrate.BoardPose
	standM float64
	scale  float64 // printed length of the board over its nominal one
	photoW int
	photoH int
}

func newSideScene(s Shot, pose *calibrate.BoardPose) *sideScene {
	return &sideScene{pose, s.Set.StandHeightM, printScale(s), s.Photo.W, s.Photo.H}
}

// sheetHeightM is the sheet's height.
const sheetHeightM = calibrate.SheetHeightMM / 1000

// sheetMiddleM is the sheet's half width.
const sheetMiddleM = calibrate.SheetWidthMM / 2000

// printScale is the print's length over the nominal one; 1 where it is not set.
func printScale(s Shot) float64 { return printed(s.Set) }

// onBoard is a point of the row's plane in the board's own frame, which counts
// in nominal lengths.
func (c *sideScene) onBoard(p metrics.SidePoint) calibrate.Vec3 {
	return calibrate.Vec3{sheetMiddleM + p.XM/c.scale, sheetHeightM + (c.standM-p.ZM)/c.scale, 0}
}

// pixel is where a point of the row's plane shows in the photo.
func (c *sideScene) pixel(p metrics.SidePoint) (calibrate.Pixel, bool) {
	return c.pose.Project(c.onBoard(p))
}

// point is where the sight through a pixel cuts the row's plane under a pose;
// NaN where it does not.
func (c *sideScene) point(b *calibrate.BoardPose, px calibrate.Pixel) metrics.SidePoint {
	hit, ok := b.Face().Intersect(b.Camera.Ray(px))
	if !ok {
		return metrics.SidePoint{XM: math.NaN(), ZM: math.NaN()}
	}
	q := b.ToBoard(hit)
	return metrics.SidePoint{XM: c.scale * (q[0] - sheetMiddleM), ZM: c.standM + c.scale*(sheetHeightM-q[1])}
}

// camera is where the camera stands: along the row, above the ground, before
// the row's plane.
func (c *sideScene) camera() (xM, heightM, distanceM float64) {
	at := c.pose.ToBoard(calibrate.Vec3{})
	return c.scale * (at[0] - sheetMiddleM), c.standM + c.scale*(sheetHeightM-at[1]), -c.scale * at[2]
}

// hints draws the level line and the row's foot across the photo.
func (c *sideScene) hints() sideview.Hints {
	_, h, _ := c.camera()
	level, foot := c.lineAt(h), c.lineAt(0)
	var sheet [4]calibrate.Pixel
	for i, p := range calibrate.SheetCorners() {
		sheet[i], _ = c.pose.Project(p)
	}
	return sideview.Hints{HorizonY: level, FootY: foot, Sheet: sheet}
}

// lineAt is the picture of the plane's line at a height, as row by column. The
// lens is taken as straight here: a pixel or two at the frame's edge.
func (c *sideScene) lineAt(zM float64) func(x float64) float64 {
	a, okA := c.pixel(metrics.SidePoint{XM: -1, ZM: zM})
	b, okB := c.pixel(metrics.SidePoint{XM: 1, ZM: zM})
	if !okA || !okB || a.X == b.X {
		return func(float64) float64 { return float64(c.photoH) }
	}
	slope := (b.Y - a.Y) / (b.X - a.X)
	return func(x float64) float64 { return a.Y + slope*(x-a.X) }
}

// plane resamples the classed photo onto the row's plane.
func (c *sideScene) plane(v *sideview.View, set ShotSettings) *metrics.SidePlane {
	leftM, rightM, topM := c.seen()
	w, h := int((rightM-leftM)/sideCellM), int(topM/sideCellM)
	p := &metrics.SidePlane{
		W: w, H: h, CellM: sideCellM, LeftM: leftM,
		Kind: make([]metrics.SideKind, w*h), TreeSpacingM: set.TreeSpacingM, RowSpacingM: set.RowSpacingM,
	}
	p.CameraXM, p.CameraHeightM, p.DistanceM = c.camera()
	kinds := [int(sideview.Unseen) + 1]metrics.SideKind{ // of what it does not name, SideUnseen
		sideview.Sky: metrics.SideSky, sideview.Foliage: metrics.SideFoliage, sideview.Wood: metrics.SideWood,
		sideview.Ground: metrics.SideGround, sideview.Board: metrics.SideBoard,
	}
	cam := c.pose.Camera
	row, classes := make([]calibrate.Pixel, w), make([]sideview.Class, w)
	for j := range h {
		z := p.ZM(j)
		from, to := c.onBoard(metrics.SidePoint{XM: p.XM(0), ZM: z}), c.onBoard(metrics.SidePoint{XM: p.XM(1), ZM: z})
		shown := p.Kind[j*w:][:w]
		if cam.Undistorted() {
			sideview.Along(v, cam, c.pose.ToCamera(from), c.pose.R.MulVec(to.Sub(from)), &kinds, shown)
			continue
		}
		c.pose.ProjectRow(from, to.Sub(from), row)
		v.AtPhotos(row, classes)
		for i, class := range classes {
			shown[i] = kinds[class]
		}
	}
	return p
}

// seen bounds what the photo shows of the row's plane, within sideReachM and
// sideTopM, a hand's breadth added so that the frame's edge is there to be found.
func (c *sideScene) seen() (leftM, rightM, topM float64) {
	const marginM, leastM = 0.10, 1.0
	w, h := float64(c.photoW-1), float64(c.photoH-1)
	leftM, rightM = -leastM, leastM
	topM = leastM
	for _, px := range [4]calibrate.Pixel{{X: 0, Y: 0}, {X: w, Y: 0}, {X: 0, Y: h}, {X: w, Y: h}} {
		q := c.point(c.pose, px)
		if math.IsNaN(q.XM) { // the sight runs off beside the plane: no end there
			return -sideReachM, sideReachM, sideTopM
		}
		leftM, rightM = math.Min(leftM, q.XM-marginM), math.Max(rightM, q.XM+marginM)
		topM = math.Max(topM, q.ZM+marginM)
	}
	return math.Max(leftM, -sideReachM), math.Min(rightM, sideReachM), math.Min(topM, sideTopM)
}

// withPose adds to a length's error what the pose leaves open: the points it
// hangs on are followed from the photo onto the plane under every error of the
// pose.
func (c *sideScene) withPose(l metrics.SideLength) float64 {
	length, ok := c.followed(l)
	if !ok {
		return l.SDM
	}
	got := c.pose.Propagate(length)
	if math.IsNaN(got.SDM) {
		return l.SDM
	}
	return math.Hypot(l.SDM, got.SDM)
}

// parts are what withPose is made of.
func (c *sideScene) parts(l metrics.SideLength) []calibrate.Part {
	own := l.Parts
	if len(own) == 0 { // not split: edges of leaf for the most part
		own = []calibrate.Part{{Name: metrics.PartSegmentation, SD: l.SDM}}
	}
	length, ok := c.followed(l)
	if !ok {
		return own
	}
	return calibrate.Joined(own, c.pose.Breakdown(length))
}

// followed is the length between the pixels that a length hangs on, by pose; ok is
// false where the photo does not show them.
func (c *sideScene) followed(l metrics.SideLength) (length func(*calibrate.BoardPose) float64, ok bool) {
	var px []calibrate.Pixel
	for _, p := range l.Points {
		q, ok := c.pixel(p)
		if !ok {
			return nil, false
		}
		px = append(px, q)
	}
	return func(b *calibrate.BoardPose) float64 {
		if len(px) == 1 {
			return c.point(b, px[0]).ZM
		}
		return c.point(b, px[1]).XM - c.point(b, px[0]).XM
	}, true
}
