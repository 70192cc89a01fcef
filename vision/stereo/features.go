package stereo

import (
	"math"

	"rowlight/calibrate"
	"rowlight/vision"
)

const (
	// matchLongPx bounds the longer side of the copies that points are found on: a
	// leaf at 6 m is 15 px long there, and SIFT's time goes with the area.
	matchLongPx = 1200
	// mostFeatures of each photo, the strongest: some hundreds of matches are left
	// of them in foliage, far more than the five unknowns need.
	mostFeatures = 4000
	// featureContrast is SIFT's own default (Lowe 2004), and nearestRatio his test.
	featureContrast, nearestRatio = 0.04, 0.8
	descriptorBytes               = 128
	// farthest2: descriptors of length 512 (SIFT's) that are farther apart than 300
	// have little in common; it counts only for a feature without rivals in reach.
	farthest2 = 300 * 300
)

// Features are points of one photo that can be told from others.
type Features struct {
	At   []calibrate.Pixel // in the photo's own pixels
	desc []byte
}

// Find finds the features of a photo; none in a bare picture.
func Find(p *vision.Photo) (*Features, error) {
	g, factor := reduced(p)
	xy, desc, err := features(g)
	if err != nil {
		return nil, err
	}
	f := &Features{At: make([]calibrate.Pixel, len(xy)/2), desc: desc}
	for i := range f.At {
		f.At[i] = full(xy[2*i], xy[2*i+1], factor)
	}
	return f, nil
}

// Reach is where a feature of the first photo may show in the second: within
// SlackPx of the line between two pixels.
type Reach struct {
	From, To calibrate.Pixel
	SlackPx  float64
}

func (r Reach) holds(p calibrate.Pixel) bool {
	d, v := r.To.Sub(r.From), p.Sub(r.From)
	n := d.X*d.X + d.Y*d.Y
	t := 0.0
	if n > 0 {
		t = math.Max(0, math.Min(1, (d.X*v.X+d.Y*v.Y)/n))
	}
	return p.Dist(calibrate.Pixel{X: r.From.X + t*d.X, Y: r.From.Y + t*d.Y}) <= r.SlackPx
}

// Match pairs features of two photos, each the other's nearest by descriptor among
// those in reach and clearly nearer than the second nearest; a few are wrong all
// the same. reach says where a place of the first photo may show in the second, ok
// false for nowhere.
func Match(a, b *Features, reach func(calibrate.Pixel) (r Reach, ok bool)) []calibrate.Match {
	best := make([]nearest, len(b.At)) // of the first photo's, for each of the second's
	there := make([]nearest, len(a.At))
	for j := range best {
		best[j] = nobody()
	}
	for i := range there {
		there[i] = nobody()
		r, ok := reach(a.At[i])
		if !ok {
			continue
		}
		for j := range b.At {
			if r.holds(b.At[j]) {
				d := distance2(a.descriptor(i), b.descriptor(j))
				there[i].take(j, d)
				best[j].take(i, d)
			}
		}
	}
	var out []calibrate.Match
	for i, n := range there {
		if n.who >= 0 && best[n.who].who == i && n.clear() && best[n.who].clear() {
			out = append(out, calibrate.Match{First: a.At[i], Second: b.At[n.who]})
		}
	}
	return out
}

func (f *Features) descriptor(i int) []byte {
	return f.desc[descriptorBytes*i : descriptorBytes*(i+1)]
}

// nearest is the nearest descriptor so far, and the second nearest's distance;
// squared.
type nearest struct {
	who           int
	first, second int
}

func nobody() nearest { return nearest{-1, math.MaxInt, math.MaxInt} }

func (n *nearest) take(who, d2 int) {
	switch {
	case d2 < n.first:
		n.who, n.first, n.second = who, d2, n.first
	case d2 < n.second:
		n.second = d2
	}
}

// clear is Lowe's test; a feature without a rival passes.
func (n nearest) clear() bool {
	return n.first < farthest2 && float64(n.first) < nearestRatio*nearestRatio*float64(n.second)
}

// distance2 is the squared distance of two descriptors.
func distance2(a, b []byte) int {
	sum := 0
	for i := range a {
		d := int(a[i]) - int(b[i])
		sum += d * d
	}
	return sum
}
