package vision

import (
	"math/rand/v2"
	"testing"

	"rowlight/calibrate"
)

// Points against the lens's own projection: in the picture, beside it and behind the camera.
func TestClassesSeen(t *testing.T) {
	const w, h, factor = 40, 30, 3
	rnd := rand.New(rand.NewPCG(8, 8))
	class, as := make([]SideClass, w*h), [256]uint8{255: 99}
	for i := range class {
		class[i] = SideClass(rnd.IntN(5))
	}
	for i := range 5 {
		as[i] = uint8(10 + i)
	}
	cam := calibrate.Camera{WidthPx: w * factor, HeightPx: h * factor, FPx: 100, FyRel: 0.98, CxPx: 60, CyPx: 44}
	shown := 0
	for range 40 {
		first := calibrate.Vec3{-1 + rnd.Float64(), rnd.Float64() - 0.5, 3*rnd.Float64() - 0.5}
		step := calibrate.Vec3{0.004, 0.001 * rnd.Float64(), 0.004 * (rnd.Float64() - 0.5)}
		out := make([]uint8, 1+rnd.IntN(700))
		ClassesSeen(class, w, factor, cam, first, step, &as, out)
		for i, got := range out {
			k := float64(i)
			p := calibrate.Vec3{first[0] + k*step[0], first[1] + k*step[1], first[2] + k*step[2]}
			want := as[255]
			if px, ok := cam.Project(p); ok {
				if x, y := (px.X+0.5)/factor, (px.Y+0.5)/factor; x >= 0 && y >= 0 && x < w && y < h {
					want = as[class[int(y)*w+int(x)]]
					shown++
				}
			}
			if got != want {
				t.Fatalf("point %v: %d, want %d", p, got, want)
			}
		}
	}
	if shown < 1000 {
		t.Fatalf("%d points shown: nothing is tested", shown)
	}
}
