package scene

import (
	"image"
	"math"
	"slices"
)

// Sensor is how a frame is exposed and how noisy it gets.
type Sensor struct {
	Seed uint64
	// Gain makes light into the sensor's 0..1; 0 lets the camera choose.
	Gain float64
	// FullWell is the electrons that fill a pixel; their scatter is the shot
	// noise. Read is the read-out's, electrons. 0 and 0: no noise.
	FullWell, Read float64
	Look
}

// Phone is the noise of a small sensor in daylight (full well and read noise in
// the range published for phone sensors; from memory).
func Phone(seed uint64) Sensor { return Sensor{Seed: seed, FullWell: 4000, Read: 4} }

// The camera's own choice: mid grey for the mean, but keep all save brightest
// parts in 1000 under the highest code, as the guide to the photographer asks
// (expose for the sunny patches).
const (
	meterGrey  = 0.17
	burnKeep   = 0.995 // share of pixels kept under burnLevel
	burnLevel  = 0.90
	meterEvery = 7 // pixels between looks of the meter
)

// meter returns the gain a phone would choose.
func meter(f *Frame) float64 {
	var all []float64
	sum := 0.0
	for i := 0; i < len(f.Px); i += meterEvery {
		l := float64(max(f.Px[i][0], f.Px[i][1], f.Px[i][2]))
		all = append(all, l)
		sum += f.Px[i].lum()
	}
	if sum == 0 {
		return 1
	}
	slices.Sort(all)
	top := all[int(burnKeep*float64(len(all)-1))]
	return math.Min(meterGrey*float64(len(all))/sum, burnLevel/top)
}

// Develop turns light into an 8-bit sRGB picture (IEC 61966-2-1), noise and all.
// Each pixel's noise comes from its own place and the seed.
func (f *Frame) Develop(s Sensor) *image.RGBA {
	if s.MotionPx > 0 {
		f = f.moved(s.MotionPx, s.MotionTurn)
	}
	gain := s.Gain
	if gain == 0 {
		gain = meter(f) * math.Exp2(s.Stops)
	}
	codes := encodeTable(s.Tone)
	balance := s.balance()
	local := f.localGain(s.LocalTone)
	out := image.NewRGBA(image.Rect(0, 0, f.W, f.H))
	for y := range f.H {
		for x := range f.W {
			rnd := Rand{hash2(s.Seed, x, y)}
			at := out.PixOffset(x, y)
			k0 := local.at(x, y)
			for k, l := range f.Px[y*f.W+x] {
				level := s.expose(&rnd, float64(l)*gain) * balance[k] * k0
				out.Pix[at+k] = codes[clampInt(level*tableTop+0.5, 0, tableTop)]
			}
			out.Pix[at+3] = 255
		}
	}
	return out
}

// expose adds shot and read noise to a level on the scale 0..1.
func (s Sensor) expose(rnd *Rand, level float64) float64 {
	if s.FullWell == 0 {
		return level
	}
	electrons := math.Min(level, 2) * s.FullWell
	return level + math.Sqrt(electrons+s.Read*s.Read)/s.FullWell*rnd.bell()
}

// bell is nearly normal: four even numbers of 16 bits from one draw, summed
// (Irwin-Hall), mean 0, standard deviation 1. Quicker than the true curve, and
// no tail beyond 3.5.
func (r *Rand) bell() float64 {
	h := r.Uint64()
	sum := h&0xffff + h>>16&0xffff + h>>32&0xffff + h>>48
	return (float64(sum)/65536 - 2) * math.Sqrt(3)
}

// tableTop is the last entry of the encoding table: 14 bits.
const tableTop = 1<<14 - 1

func encodeTable(tone float64) []uint8 {
	t := make([]uint8, tableTop+1)
	for i := range t {
		t[i] = uint8(255*toneCurve(encodeSRGB(float64(i)/tableTop), tone) + 0.5)
	}
	return t
}

// encodeSRGB is the sRGB curve, 0..1 to 0..1.
func encodeSRGB(l float64) float64 {
	if l <= 0.0031308 {
		return 12.92 * l
	}
	return 1.055*math.Pow(l, 1/2.4) - 0.055
}
