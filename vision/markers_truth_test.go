package vision

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"rowlight/calibrate"
)

// renderedBoard is what a rendered photo's JSON says of its first board.
type renderedBoard struct {
	Check struct {
		True map[string][4][2]float64 `json:"markers_true_px"`
	} `json:"board_check"`
	Camera struct {
		Orientation int `json:"orientation_exif"`
		Height      int `json:"height"`
	} `json:"camera"`
}

// corner returns a true corner in the photo turned upright (only 1 and 6 occur).
func (r renderedBoard) corner(id, k int) calibrate.Pixel {
	c := r.Check.True[strconv.Itoa(id)][k]
	if r.Camera.Orientation == 6 {
		return calibrate.Pixel{X: float64(r.Camera.Height-1) - c[1], Y: c[0]}
	}
	return calibrate.Pixel{X: c[0], Y: c[1]}
}

func renderedPhotos(t *testing.T) []string {
	t.Helper()
	for _, dir := range []string{filepath.Join("..", "..", "shared", "truth", "rendered"), filepath.Join("..", "testdata", "rendered")} {
		if files, _ := filepath.Glob(filepath.Join(dir, "*.jpg")); len(files) > 0 {
			t.Logf("rendered photos from %s", dir)
			return files
		}
	}
	t.Skip("TRUTH MISSING: no rendered photos")
	return nil
}

// Corners on the rendered photos against the scene's geometry. The project asks
// for 0.15-0.23 px rms, what sub-pixel refinement reaches on clean print; half a
// marker hidden or a sun patch may cost a corner 1 px. Two markers of four are
// what a pose needs: no photo may have fewer. (The constants of the search were
// chosen on this set: it is no proof for other photos.)
func TestMarkersOnRenderedPhotos(t *testing.T) {
	if testing.Short() {
		t.Skip("reads all rendered photos")
	}
	var sum, worst float64
	corners, found, all := 0, 0, 0
	for _, path := range renderedPhotos(t) {
		text, err := os.ReadFile(strings.TrimSuffix(path, ".jpg") + ".json")
		if err != nil {
			t.Fatal(err)
		}
		var truth renderedBoard
		if err := json.Unmarshal(text, &truth); err != nil {
			t.Fatal(err)
		}
		p, err := Load(path)
		if err != nil {
			t.Fatal(err)
		}
		seen, err := Markers(p)
		if err != nil {
			t.Fatal(err)
		}
		here := 0
		for _, m := range seen {
			if _, mine := truth.Check.True[strconv.Itoa(m.ID)]; !mine {
				continue // an edge board's
			}
			here++
			for k := range 4 {
				e := truth.corner(m.ID, k).Dist(m.Corners[k])
				sum, worst, corners = sum+e*e, math.Max(worst, e), corners+1
			}
		}
		if here < 2 {
			t.Errorf("%s: %d markers", filepath.Base(path), here)
		}
		found, all = found+here, all+len(truth.Check.True)
	}
	rms := math.Sqrt(sum / float64(corners))
	t.Logf("%d of %d markers, corner rms %.3f px, worst %.2f px", found, all, rms, worst)
	if rms > 0.23 || worst > 1 || float64(found) < 0.98*float64(all) {
		t.Errorf("%d of %d markers, corner rms %.3f px, worst %.2f px", found, all, rms, worst)
	}
}

// Foliage without boards gives no marker: whole photos of real rows and tiles.
func TestNoMarkersInFoliage(t *testing.T) {
	dir := filepath.Join("..", "..", "shared", "truth", "orchard_rows")
	files, _ := filepath.Glob(filepath.Join(dir, "*", "*"))
	if len(files) == 0 {
		t.Skip("TRUTH MISSING: orchard_rows")
	}
	looked := 0
	for _, path := range files {
		p, err := Load(path)
		if err != nil {
			continue // tiles under the least size
		}
		looked++
		if seen, err := Markers(p); err != nil || len(seen) != 0 {
			t.Errorf("%s: %d markers, error %v", filepath.Base(path), len(seen), err)
		}
	}
	if looked < 3 {
		t.Errorf("only %d photos were looked at", looked)
	}
	t.Logf("%d photos without boards", looked)
}

// BenchmarkMarkers12MP: a rendered photo blown up to 4000 x 3000.
func BenchmarkMarkers12MP(b *testing.B) {
	for _, name := range []string{"practice_floor_00.jpg", "practice_side_00.jpg", "practice_c_floor_03.jpg", "practice_alley_05.jpg"} {
		b.Run(name, func(b *testing.B) {
			p, err := Load(filepath.Join("..", "testdata", "rendered", name))
			if err != nil {
				b.Skip(err)
			}
			big := enlarged(p, 4000, 3000)
			for b.Loop() {
				if seen, err := Markers(big); err != nil || len(seen) < 4 {
					b.Fatalf("%d markers, error %v", len(seen), err)
				}
			}
		})
	}
}

// enlarged copies a photo to a larger size, nearest pixel.
func enlarged(p *Photo, w, h int) *Photo {
	out := &Photo{W: w, H: h, FullW: w, FullH: h, Pix: make([]uint8, 3*w*h)}
	for y := range h {
		for x := range w {
			copy(out.Pix[3*(y*w+x):], p.Pix[3*(y*p.H/h*p.W+x*p.W/w):][:3])
		}
	}
	return out
}
