package pipeline

import (
	"bytes"
	"image"
	"image/jpeg"
	"math"
	"os"
	"path/filepath"
	"testing"

	"rowlight/internal/orchard"
	"rowlight/internal/scene"
)

// canopy is a crown of 4 by 4 m, two to six metres up, over a camera that looks
// straight up from beside its trunk.
func canopy(leafM2 float64, sky scene.Sky) *scene.View {
	tree := scene.Grow(scene.TreeSpec{HeightM: 6, BaseM: 2, AlongM: 2, AcrossM: 2, Form: scene.Round, LeafAreaM2: leafM2, Seed: 5})
	eye := scene.Vec3{X: 0.9, Y: 0.4, Z: 1.2}
	return scene.NewView(scene.NewStand(3, scene.Litter, tree), scene.NewFloors(3), scene.Shot{
		Camera: scene.Aim(eye, eye.Add(scene.Vec3{Z: 1}), 0, 960, 720),
		Sun:    scene.Sun{ElevationDeg: 62, AzimuthDeg: 10}, Sky: sky, Seed: 9,
	})
}

func jpegOf(t *testing.T, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: 92}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// The sky through a drawn crown, by the geometry behind the picture: the demo's
// renderer serves as a test of the arithmetic, not as proof of accuracy.
func TestUpAgainstGeometry(t *testing.T) {
	if testing.Short() {
		t.Skip("draws four pictures")
	}
	for _, leafM2 := range []float64{15, 60, 160} {
		for _, sky := range []scene.Sky{scene.Clear, scene.Overcast} {
			if sky == scene.Overcast && leafM2 != 60 {
				continue
			}
			view := canopy(leafM2, sky)
			want := skySeen(view)
			out := Measure(jpegOf(t, view.Draw().Develop(scene.Phone(1))), orchard.Up, Env{Set: DefaultSettings()})
			if out.Status != orchard.Measured {
				t.Errorf("%.0f m2, %s: %s: %s", leafM2, sky, out.Status, out.Reason)
				continue
			}
			var cover, sun *orchard.Measurement
			for i, m := range out.Measurements {
				switch m.Quantity {
				case orchard.FoliageCover:
					cover = &out.Measurements[i]
				case orchard.ExpectedSunlitRef:
					sun = &out.Measurements[i]
				}
			}
			t.Logf("%.0f m2, %s: sky %.1f %% in truth, seen %.1f (%.1f to %.1f); expected sun on the floor %.1f (%.1f to %.1f) %v", leafM2, sky, 100*want,
				100*(1-*cover.Value), 100*(1-*cover.High95), 100*(1-*cover.Low95), 100**sun.Value, 100**sun.Low95, 100**sun.High95, out.Flags)
			// The prior of the lens is 2 % off the drawn one, so the fields differ by
			// a rim of 4 % of their area, of which the sky's share differs by less than half.
			if math.Abs(1-*cover.Value-want) > 0.02+0.02 {
				t.Errorf("%.0f m2, %s: %.1f %% sky, truth %.1f", leafM2, sky, 100*(1-*cover.Value), 100*want)
			}
			if dir := os.Getenv("UP_PICTURES"); dir != "" {
				save(t, filepath.Join(dir, filepath.Base(t.Name())+sky.String()+string(rune('a'+int(leafM2)%26))+".jpg"), out)
			}
		}
	}
}

func save(t *testing.T, name string, out Outcome) {
	t.Helper()
	var b bytes.Buffer
	if err := out.Overlay.Encode(&b); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
}

// skySeen is the share of sky in the disc of 15 degrees round the picture's middle,
// by the classes of the geometry.
func skySeen(v *scene.View) float64 {
	classes := v.Classes(-1)
	cx, cy := v.Camera.Centre()
	r := v.Camera.FocalPx * math.Tan(15*math.Pi/180)
	var sky, all float64
	for i, c := range classes {
		if math.Hypot(float64(i%v.Camera.WidthPx)-cx, float64(i/v.Camera.WidthPx)-cy) > r {
			continue
		}
		all++
		if c == scene.SkyClass {
			sky++
		}
	}
	return sky / all
}

// A photo that shows no sky, or nothing but sky, is refused with what to do.
func TestUpRefused(t *testing.T) {
	for name, code := range map[string]uint8{"black": 3, "white": 250} {
		img := image.NewGray(image.Rect(0, 0, 640, 480))
		for i := range img.Pix {
			img.Pix[i] = code
		}
		out := Measure(jpegOf(t, img), orchard.Up, Env{Set: DefaultSettings()})
		if out.Status != orchard.Refused || out.Reason == "" || out.Mend == "" {
			t.Errorf("%s: %s %q %q, want refused with a reason and a mend", name, out.Status, out.Reason, out.Mend)
		}
	}
}
