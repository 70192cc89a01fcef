package pipeline

import (
	"encoding/json"
	"errors"
	"math"
	"os"
	"path/filepath"
	"testing"

	"rowlight/internal/orchard"
	"rowlight/internal/overlay"
	"rowlight/metrics"
)

// renderedCamera is the renderer's own camera and board, as the truth JSON has them:
// world axes x along the row, y across, z up; the camera looks down its own -z, y up.
type renderedCamera struct {
	Camera struct {
		FPX    float64       `json:"f_px"`
		CX     float64       `json:"cx"`
		CY     float64       `json:"cy"`
		Matrix [4][4]float64 `json:"matrix_world"`
	} `json:"camera"`
	Board struct {
		TopLeft [3]float64 `json:"top_left"`
	} `json:"board"`
}

// project is the pinhole: (p - t) turned by the matrix's transpose, over its depth.
func (r renderedCamera) project(p [3]float64) (x, y float64) {
	var c [3]float64
	m := r.Camera.Matrix
	for i := range c {
		for j := range 3 {
			c[i] += m[j][i] * (p[j] - m[j][3])
		}
	}
	return r.Camera.CX + r.Camera.FPX*c[0]/-c[2], r.Camera.CY - r.Camera.FPX*c[1]/-c[2]
}

func drawOrchard(t *testing.T) *orchard.Orchard {
	t.Helper()
	o, err := orchard.Parse(orchard.FileName, []byte(`name = "Invented"
[place]
latitude_deg = -28
longitude_deg = 152
time_zone = "Etc/GMT-10"
[[blocks]]
key = "b1"
rows = 1
trees_per_row = 1
row_spacing_m = 8
tree_spacing_m = 3.5
row_direction_deg = 0
`))
	if err != nil {
		t.Fatal(err)
	}
	return o
}

// cutTolM: a mark this far off at the trunk is within what a saw is held to; the row's
// plane is some 220 px a metre on these photos.
const cutTolM = 0.10

// A skirt's line under the camera's height lies on the row's plane: where the
// renderer's own camera sees it.
func TestCutLineLiesWhereTheRenderersCameraSeesIt(t *testing.T) {
	const dir = "../../testdata/rendered"
	o, tree := drawOrchard(t), orchard.TreeID{Block: "b1", Row: 1, Tree: 1}
	for _, stem := range []string{"practice_side_00", "practice_side_02"} {
		var truth renderedCamera
		data, err := os.ReadFile(filepath.Join(dir, stem+".json"))
		if err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal(data, &truth); err != nil {
			t.Fatal(err)
		}
		photo, err := os.ReadFile(filepath.Join(dir, stem+".jpg"))
		if err != nil {
			t.Fatal(err)
		}
		bare, err := drawCuts(photo, o, tree, nil)
		if err != nil {
			t.Fatal(err)
		}
		const skirtM = 1.3
		cut, err := drawCuts(photo, o, tree, []CutMark{{Number: 1, Kind: metrics.CutSkirt, HighM: skirtM}})
		if err != nil {
			t.Fatal(err)
		}
		// Over the board, where the crown's line crosses.
		over := [3]float64{truth.Board.TopLeft[0], truth.Board.TopLeft[1], skirtM}
		x, want := truth.project(over)
		over[2] -= cutTolM
		_, lower := truth.project(over)
		got, ok := highestChange(bare, cut, x)
		if !ok {
			t.Errorf("%s: no line is drawn over the board", stem)
			continue
		}
		if math.Abs(got-want) > lower-want {
			t.Errorf("%s: the line is on row %.0f, the renderer's camera sees %.1f m on row %.0f (%.2f m are %.0f px)", stem, got, skirtM, want, cutTolM, lower-want)
		}
	}
}

// highestChange is the photo's row of the highest pixel of full ink that only the
// second drawing has in a column of the photo, half the line's width added.
func highestChange(a, b *cutDrawing, x float64) (row float64, ok bool) {
	part := a.seen
	scale := float64(a.canvas.Img.Rect.Dx()) / float64(part.Dx())
	col := int((x - float64(part.Min.X)) * scale)
	for y := range a.canvas.Img.Rect.Dy() {
		if ink := b.canvas.Img.NRGBAAt(col, y); ink != a.canvas.Img.NRGBAAt(col, y) && ink == overlay.Red {
			return float64(part.Min.Y) + (float64(y)+cutLinePx/2)/scale, true
		}
	}
	return 0, false
}

// Heights over the camera go to the crown's near face and back.
func TestDrawnHeightsComeBack(t *testing.T) {
	d := &cutDrawing{cameraM: 1.5, stretch: 1.3}
	last := -1.0
	for z := 0.0; z < 8; z += 0.1 {
		up := d.drawn(z)
		if math.Abs(d.height(up)-z) > 1e-12 || up <= last {
			t.Errorf("%.1f m is drawn at %.3f and comes back as %.3f", z, up, d.height(up))
		}
		last = up
	}
}

// The crown's drawn top stands at the tree's measured height.
func TestScaleEndsAtTheTop(t *testing.T) {
	photo, err := os.ReadFile("../../testdata/rendered/practice_side_02.jpg")
	if err != nil {
		t.Fatal(err)
	}
	d, err := drawCuts(photo, drawOrchard(t), orchard.TreeID{Block: "b1", Row: 1, Tree: 1}, nil)
	if err != nil {
		t.Fatal(err)
	}
	h := d.tree.Height()
	if got := d.height(h.Points[0].ZM); math.Abs(got-h.M) > 1e-9 && h.Points[0].ZM > h.M {
		t.Errorf("the top is drawn at %.2f m on the scale, measured %.2f m", got, h.M)
	}
}

func TestCutsOnAPhotoThatIsNone(t *testing.T) {
	dir, o := t.TempDir(), drawOrchard(t)
	tree := orchard.TreeID{Block: "b1", Row: 1, Tree: 1}
	if _, err := DrawCuts(dir, "gone.jpg", o, tree, nil); err == nil {
		t.Error("a photo that is not there was drawn on")
	}
	if _, err := DrawCuts(dir, "../x.jpg", o, tree, nil); err == nil {
		t.Error("a path out of the folder was followed")
	}
	if err := os.WriteFile(filepath.Join(dir, "letter.jpg"), []byte("Dear crew"), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := DrawCuts(dir, "letter.jpg", o, tree, nil); err == nil {
		t.Error("a letter was drawn on")
	}
	// A floor photo has no tree in it.
	_, err := DrawCuts("../../testdata/rendered", "practice_floor_00.jpg", o, tree, nil)
	var u *metrics.Unusable
	if !errors.As(err, &u) {
		t.Errorf("a floor photo: %v", err)
	}
}
