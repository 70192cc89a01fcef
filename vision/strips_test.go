package vision

import (
	"math"
	"testing"

	"rowlight/calibrate"
)

// lnColours are a pixel's ln luminance, ln(R/G) and ln(B/G).
func lnColours(l *Linear, i int, dark float64) [3]float64 {
	ln := func(v float32) float64 { return math.Log(float64(v) + dark) }
	return [3]float64{ln(l.Lum(i)), ln(l.R[i]) - ln(l.G[i]), ln(l.B[i]) - ln(l.G[i])}
}

// slowScore is a strip's score by its definition; ok is false where it leaves the rows.
func slowScore(l *Linear, dark float64, top int, s Strip, width, perPx float64, f StripForm) (score float64, ok bool) {
	var diffs [4][][3]float64 // left, right, inner, before
	mean := func(x, y, half float64) (m [3]float64) {
		row, lo, hi := int(math.Floor((y+0.5)*perPx)), int(math.Floor((x-half+0.5)*perPx)), int(math.Floor((x+half+0.5)*perPx))
		if row < top || row >= l.H || lo < 0 || hi >= l.W {
			ok = false
			return m
		}
		for c := lo; c <= hi; c++ {
			for k, v := range lnColours(l, row*l.W+c, dark) {
				m[k] += v / float64(hi-lo+1)
			}
		}
		return m
	}
	less := func(a, b [3]float64) [3]float64 { return [3]float64{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }
	ok = true
	for k := range f.Rows {
		t := (float64(k) + 0.5) / float64(f.Rows)
		x, y := s.Foot.X+t*(s.Top.X-s.Foot.X), s.Foot.Y+t*(s.Top.Y-s.Foot.Y)
		mid := mean(x, y, f.Half*width)
		diffs[0] = append(diffs[0], less(mid, mean(x-f.Beside*width, y, f.BesideHalf*width)))
		diffs[1] = append(diffs[1], less(mid, mean(x+f.Beside*width, y, f.BesideHalf*width)))
		diffs[2] = append(diffs[2], mid)
		diffs[3] = append(diffs[3], mean(s.Foot.X, s.Foot.Y+(0.15+0.5*t)*(s.Foot.Y-s.Top.Y), f.Half*width))
	}
	if !ok {
		return 0, false
	}
	var sum float64
	for c, sd := range [3]float64{f.LightSD, f.ColourSD, f.ColourSD} {
		var m, v [4]float64
		for d := range diffs {
			for _, row := range diffs[d] {
				m[d] += row[c] / float64(f.Rows)
			}
			for _, row := range diffs[d] {
				v[d] += (row[c] - m[d]) * (row[c] - m[d]) / float64(f.Rows) / (float64(f.Rows)/2 - 1)
			}
		}
		under, underV := m[2]-m[3], v[2]+v[3]
		if m[0]*m[1] <= 0 || m[0]*under <= 0 {
			continue
		}
		k := math.Min(m[0]*m[0]/(v[0]+sd*sd), m[1]*m[1]/(v[1]+sd*sd))
		sum += math.Min(k, under*under/(underV+sd*sd))
	}
	return math.Sqrt(sum), true
}

func TestStripScoresByDefinition(t *testing.T) {
	const w, h, top, dark, perPx = 60, 50, 12, 4e-3, 1.0 / 3
	l := noiseLight(w, h)
	for y := 20; y < 35; y++ { // a trunk, slanting
		for x := 25 + y/5; x < 31+y/5; x++ {
			l.R[y*w+x], l.G[y*w+x], l.B[y*w+x] = 0.02, 0.02, 0.021
		}
	}
	f := StripForm{Rows: 8, Half: 0.32, Beside: 0.95, BesideHalf: 0.25, LightSD: 0.12, ColourSD: 0.04}
	rows := NewRowSums(l, dark, top)
	var strips []Strip
	for y := 0.0; y < 3*h; y += 4.3 {
		for x := -5.0; x < 3*w+5; x += 3.1 {
			strips = append(strips, Strip{calibrate.Pixel{X: x, Y: y}, calibrate.Pixel{X: x - 3, Y: y - 40}, [4]float64{6, 11, 18, 30}})
		}
	}
	strips = append(strips, Strip{calibrate.Pixel{X: 1e300, Y: 100}, calibrate.Pixel{X: math.NaN(), Y: 60}, [4]float64{6, 11, 18, 30}})
	const tooFaint = 1.5
	in, best, plain := 0, 0.0, rows.Scores(strips, perPx, f, tooFaint)
	for i, got := range rows.Scores(strips, perPx, f, 0) {
		for k, width := range strips[i].Widths {
			want, ok := slowScore(l, dark, top, strips[i], width, perPx, f)
			if !ok {
				want = -1
			}
			// Sums of floats along a row of 60 are right to some 1e-5.
			if math.Abs(got[k]-want) > 2e-3*(1+want) {
				t.Fatalf("strip %v, %g wide: %.5f, want %.5f", strips[i], width, got[k], want)
			}
			if plain[i][k] != got[k] && (plain[i][k] != 0 || got[k] > tooFaint) {
				t.Fatalf("strip %v, %g wide: %.5f of those over %g, %.5f of all", strips[i], width, plain[i][k], tooFaint, got[k])
			}
			if ok {
				in++
				best = math.Max(best, want)
			}
		}
	}
	if in < 100 || best < 1 {
		t.Errorf("%d strips in the photo, the plainest %.2f: the test tells nothing", in, best)
	}
	for y := top; y < h; y += 7 {
		want := 0.0
		for x := 3; x <= 20; x++ {
			want += lnColours(l, y*w+x, dark)[0] / 18
		}
		if got := rows.MeanLight(y, 3, 20); math.Abs(got-want) > 1e-4 {
			t.Errorf("row %d: mean light %.5f, want %.5f", y, got, want)
		}
	}
	if got := NewRowSums(l, dark, h).Scores(strips[:1], perPx, f, 0)[0]; got != [4]float64{-1, -1, -1, -1} {
		t.Errorf("a strip in no rows scores %v", got)
	}
}
