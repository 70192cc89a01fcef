package alleyview

import (
	"math"

	"rowlight/calibrate"
)

const (
	// vanishGrid spaces the pixels that vote for the vanishing point, in
	// working pixels: about a leaf's width at the board.
	vanishGrid = 8
	// vanishBins of angle around the point, 5 degrees each: a wall's edge is
	// ragged by more.
	vanishBins = 72
	// The pixels that vote lie within these distances of the point, as shares of
	// the photo's longer side: nearer ones are leaf noise, farther ones see trees
	// beside the camera.
	vanishNear, vanishFar = 0.02, 0.42
)

// Vanishing finds the point of the photo that the rows run to, near a first
// guess: a straight alley shows the same class all along each line from that
// point, so the point is where the class is told best by the angle around it
// (the least entropy of open against canopy, given the angle). reachPx is how
// far from the guess to look. bitsGained is what the angle tells of the class,
// in bits a pixel; near 0 means no alley.
func (v *View) Vanishing(guess calibrate.Pixel, reachPx float64) (at calibrate.Pixel, bitsGained float64) {
	votes := v.vanishVotes()
	long := math.Max(float64(v.W), float64(v.H)) * float64(v.Factor)
	at, bitsGained = guess, -1.0
	const steps, rounds = 5, 4
	for range rounds {
		centre := at
		for i := -steps; i <= steps; i++ {
			for j := -steps; j <= steps; j++ {
				p := calibrate.Pixel{X: centre.X + reachPx*float64(i)/steps, Y: centre.Y + reachPx*float64(j)/steps}
				if g := gain(votes, p, long); g > bitsGained {
					at, bitsGained = p, g
				}
			}
		}
		reachPx *= 0.4
	}
	return at, bitsGained
}

type vanishVote struct {
	p    calibrate.Pixel
	open bool
}

func (v *View) vanishVotes() []vanishVote {
	var out []vanishVote
	for y := vanishGrid / 2; y < v.H; y += vanishGrid {
		for x := vanishGrid / 2; x < v.W; x += vanishGrid {
			if c := v.Class[y*v.W+x]; c != Board {
				out = append(out, vanishVote{v.photoPixel(x, y), c != Canopy})
			}
		}
	}
	return out
}

// gain is the mutual information of angle and class, bits.
func gain(votes []vanishVote, p calibrate.Pixel, longPx float64) float64 {
	var open, all [vanishBins]float64
	var sumOpen, sum float64
	least, most := vanishNear*longPx*vanishNear*longPx, vanishFar*longPx*vanishFar*longPx
	for _, v := range votes {
		dx, dy := v.p.X-p.X, v.p.Y-p.Y
		if r := dx*dx + dy*dy; r < least || r > most {
			continue
		}
		b := angleBin(dx, dy)
		all[b]++
		sum++
		if v.open {
			open[b]++
			sumOpen++
		}
	}
	if sum == 0 {
		return 0
	}
	h := entropy(sumOpen / sum)
	for b := range all {
		if all[b] > 0 {
			h -= all[b] / sum * entropy(open[b]/all[b])
		}
	}
	return h
}

// angleBin is the bin of a direction: by a short series (Abramowitz and Stegun
// 1964, 4.4.47, right to 1e-5 rad), and by math.Atan2, five times slower, where
// that leaves two bins open.
func angleBin(dx, dy float64) int {
	const turn, open = vanishBins / (2 * math.Pi), 1e-3
	ax, ay := math.Abs(dx), math.Abs(dy)
	t := min(ax, ay) / max(ax, ay)
	s := t * t
	a := t * (0.9998660 + s*(-0.3302995+s*(0.1801410+s*(-0.0851330+s*0.0208351))))
	if ay > ax {
		a = math.Pi/2 - a
	}
	if dx < 0 {
		a = math.Pi - a
	}
	if dy < 0 {
		a = -a
	}
	at := a*turn + vanishBins/2
	b := int(at)
	if rest := at - float64(b); rest < open || rest > 1-open {
		b = int((math.Atan2(dy, dx)/(2*math.Pi) + 0.5) * vanishBins)
	}
	return min(b, vanishBins-1)
}

// entropy of a yes with probability p, bits.
func entropy(p float64) float64 {
	if p <= 0 || p >= 1 {
		return 0
	}
	return -p*math.Log2(p) - (1-p)*math.Log2(1-p)
}
