package pipeline

import (
	"math"
	"os"
	"testing"

	"rowlight/internal/orchard"
	"rowlight/internal/overlay"
	"rowlight/metrics"
)

// An alley's cut on the face of the picture is drawn through, one on its back broken:
// dashes as long as their gaps leave half of the edges, give or take a dash and the bar.
// Nothing of either edge stands under the cut's foot.
func TestAlleyFaceIsDrawnThroughAndTheBackBroken(t *testing.T) {
	photo, err := os.ReadFile("../../testdata/rendered/practice_side_02.jpg")
	if err != nil {
		t.Fatal(err)
	}
	const lowM = 2.5
	ink := func(face string) (all, under int) {
		d, err := drawCuts(photo, drawOrchard(t), orchard.TreeID{Block: "b1", Row: 1, Tree: 1}, nil)
		if err != nil {
			t.Fatal(err)
		}
		d.faceEdges(CutMark{Number: 1, Kind: metrics.CutAlley, LowM: lowM, HighM: math.Inf(1), SizeM: 0.5, Side: "left", Face: face})
		foot, _ := d.scene.pixel(metrics.SidePoint{ZM: d.drawn(lowM) - faceDashM})
		scale := float64(d.canvas.Img.Rect.Dx()) / float64(d.seen.Dx())
		row := int((foot.Y - float64(d.seen.Min.Y)) * scale)
		for y := range d.canvas.Img.Rect.Dy() {
			for x := range d.canvas.Img.Rect.Dx() {
				if d.canvas.Img.NRGBAAt(x, y) != overlay.Red {
					continue
				}
				if all++; y > row {
					under++
				}
			}
		}
		return all, under
	}
	near, nearUnder := ink(metrics.NearFace)
	far, farUnder := ink(metrics.FarFace)
	if share := float64(far) / float64(near); near == 0 || share < 0.3 || share > 0.7 {
		t.Errorf("%d px through, %d px broken", near, far)
	}
	if nearUnder+farUnder > 0 {
		t.Errorf("%d and %d px under the cut's foot", nearUnder, farUnder)
	}
}

func TestAlleyLabelSaysSideFaceAndDepth(t *testing.T) {
	for want, m := range map[string]CutMark{
		"3 left alley, this face: 0.5 m deep": {Number: 3, SizeM: 0.5, Side: "left", Face: metrics.NearFace},
		"1 right alley, the back: 0.3 m deep": {Number: 1, SizeM: 0.3, Side: "right", Face: metrics.FarFace},
		"2 right alley: 0.4 m deep":           {Number: 2, SizeM: 0.4, Side: "right"},
		"1 alley side: 0.4 m deep":            {Number: 1, SizeM: 0.4},
	} {
		if got := alleyLabel(m); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
