package vision

import (
	"errors"
	"math"
	"sort"

	"rowlight/calibrate"
)

const (
	// The width of an edge is told from 10 % to 90 % of its rise (ISO 12233's
	// edge response, from memory).
	riseLow, riseHigh = 0.1, 0.9
	// gaussianRise is the 10-90 % width of an edge blurred by a gaussian, over
	// its sigma: 2 x 1.2816.
	gaussianRise = 2.5631
	// bilinearVariancePx2 is what reading between pixels adds to an edge's blur:
	// the mean over all phases of f(1-f).
	bilinearVariancePx2 = 1.0 / 6
	// segmentsPerSide: each third of a side gives its own width, so that a sun
	// patch spoils one and not the side.
	segmentsPerSide = 3
	// maxProfiles of a segment are averaged: more tell no more of 8-bit data.
	maxProfiles = 16
	// minSegments a direction needs for its median to mean something.
	minSegments = 3
	// plateauFrom to plateauTo percent of a profile as long as two modules is the
	// middle of its black and, mirrored, of its white.
	plateauFrom, plateauTo = 19, 29
	// blurReachMaxPx bounds how far from the edge its levels are read.
	blurReachMaxPx = 40
)

// ErrNoEdges says that no marker edge was fit to be measured.
var ErrNoEdges = errors.New("vision: edge blur: no clean marker edge in the photo")

// EdgeBlurPx returns the 10-90 % width in px (of the photo as given, linear
// light) of the boards' black to white edges: the median over the edges across
// each of a marker's two directions, and the worse of the two, for motion blurs
// one way. A gaussian blur of sigma s gives 2.563 s, a motion of m px across the
// edge 0.8 m. A photo without any blur gives 0.8, a pixel's own width. Widths
// above about one marker module (a seventh of its side) are told too small, and
// so are those of edges whose white is burnt out, which are taken only where
// there are no others. No fit edge gives ErrNoEdges.
func EdgeBlurPx(p *Photo, seen []calibrate.MarkerSighting) (float64, error) {
	if len(seen) == 0 {
		return 0, ErrNoEdges
	}
	light, err := newLightPlane(p)
	if err != nil {
		return 0, err
	}
	worst := -1.0
	for direction := range 2 {
		var clean, clipped []float64
		for _, m := range seen {
			for _, k := range []int{direction, direction + 2} {
				light.sideWidths(m.Corners[k], m.Corners[(k+1)%4], &clean, &clipped)
			}
		}
		if len(clean) < minSegments {
			clean = append(clean, clipped...)
		}
		if len(clean) >= minSegments {
			sort.Float64s(clean)
			worst = math.Max(worst, clean[len(clean)/2])
		}
	}
	if worst < 0 {
		return 0, ErrNoEdges
	}
	return worst, nil
}

// sideWidths appends the edge width of each segment of a side.
func (l *lightPlane) sideWidths(a, b calibrate.Pixel, clean, clipped *[]float64) {
	length := a.Dist(b)
	if !(length > 4) {
		return
	}
	dir := calibrate.Pixel{X: (b.X - a.X) / length, Y: (b.Y - a.Y) / length}
	outward := calibrate.Pixel{X: dir.Y, Y: -dir.X}
	reach := math.Min(blurReachMaxPx, length/MarkerModules)
	for seg := range segmentsPerSide {
		from := sideMargin + (1-2*sideMargin)*float64(seg)/segmentsPerSide
		mean, ok := l.meanProfile(a, dir, outward, from*length, length*(1-2*sideMargin)/segmentsPerSide, reach)
		if !ok {
			continue
		}
		black, white := plateauLevels(mean)
		width, ok := riseWidth(mean, black, white)
		if !ok || white < minEdgeRatio*black {
			continue
		}
		width = math.Sqrt(math.Max(0, width*width-gaussianRise*gaussianRise*bilinearVariancePx2))
		if white > clippedLight {
			*clipped = append(*clipped, width)
		} else {
			*clean = append(*clean, width)
		}
	}
}

// plateauLevels returns the mean of a profile half-way out on either side: the
// middle of the black border and of the white margin, furthest from what lies
// beyond them.
func plateauLevels(v []float64) (black, white float64) {
	from, to := len(v)*plateauFrom/100, len(v)*plateauTo/100
	for i := from; i <= to; i++ {
		black += v[i] / float64(to-from+1)
		white += v[len(v)-1-i] / float64(to-from+1)
	}
	return black, white
}

// meanProfile averages the profiles along a stretch of a side, one a pixel where that is no
// more than maxProfiles.
func (l *lightPlane) meanProfile(a, dir, outward calibrate.Pixel, fromPx, lengthPx, reachPx float64) ([]float64, bool) {
	n := min(max(2, int(lengthPx)), maxProfiles)
	var mean, buf []float64
	for i := range n {
		at := fromPx + lengthPx*(float64(i)+0.5)/float64(n)
		v, ok := l.profile(calibrate.Pixel{X: a.X + at*dir.X, Y: a.Y + at*dir.Y}, outward, reachPx, buf)
		if !ok {
			return nil, false
		}
		if buf = v; mean == nil {
			mean = make([]float64, len(v))
		}
		for k := range v {
			mean[k] += v[k] / float64(n)
		}
	}
	return mean, true
}

// riseWidth returns the distance in px between the crossings of 10 and 90 % of a
// rise from black to white, those nearest to its half-way crossing.
func riseWidth(v []float64, black, white float64) (px float64, ok bool) {
	mid, ok := crossing(v, (black+white)/2)
	if !ok {
		return 0, false
	}
	at := int(mid/profileStepPx + float64(len(v)-1)/2)
	low, high := black+riseLow*(white-black), black+riseHigh*(white-black)
	i := at
	for i >= 0 && v[i] > low {
		i--
	}
	j := at + 1
	for j < len(v) && v[j] < high {
		j++
	}
	if i < 0 || j >= len(v) || j == 0 {
		return 0, false
	}
	left := float64(i) + (low-v[i])/(v[i+1]-v[i])
	right := float64(j-1) + (high-v[j-1])/(v[j]-v[j-1])
	return (right - left) * profileStepPx, true
}
