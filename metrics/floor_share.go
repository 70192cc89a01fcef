package metrics

import (
	"fmt"
	"math"

	"rowlight/calibrate"
)

// The standard error of a sunlit share, put together in quadrature. The weights
// were set on the rendered practice photos, the demo's and the wide set's seed 101.
const (
	// shareLeastSE: the shade's own unevenness passes for a little sun, whatever
	// the rest: a tenth of the shade's light at a contrast of 10 is 1 point.
	shareLeastSE = 0.006
	// levelRelSE: the sun's level rests on how the brightest light is spread over
	// uneven floor. It moves the share by as much, less where most is lit, since
	// what is full sun stays full sun.
	levelRelSE = 0.13
	// toneRelSE is how far a share moves for a whole step of the tone curve, from
	// none to a full S, over u(1-u).
	toneRelSE = 0.6
	// opinionWeight of the gap between the mixture's and the linear share beyond
	// opinionAgree, in which they always differ.
	opinionWeight, opinionAgree = 0.3, 0.02
	// leftOutWeight: of what stands before the floor, half as much again may
	// have been taken for floor, or the other way about.
	leftOutWeight = 0.5
	// shareFloor is the smallest share that could have been seen: one full fleck
	// of 50 mm on a quarter of a square metre.
	shareFloor = 0.01
	// opinionFlag: the unmixed and thresholded shares this far apart are told to
	// the reader (trade rule: 5 points).
	opinionFlag = 0.05
	// hazyContrast: below it sun and shade are apart, but haze or thin cloud is
	// lighting the shade.
	hazyContrast = 4.0
	// darkFlag of the floor black: the shade's level is a guess.
	darkFlag = 0.10
)

// FloorLight is what else bears on a share's error.
type FloorLight struct {
	Contrast  float64 // light of sun over shade
	ToneSD    float64 // error of the camera's tone curve, on the scale none 0 to full S 1
	DarkShare float64 // of the floor that is black
	// BoardM2 is the sheet, which is left out for good reason.
	BoardM2 float64
}

// FloorShare returns the sunlit share of the judged floor, 0..1: the mean
// fraction, with the interval of its logit. It speaks of the floor this photo shows,
// not of the tree.
func FloorShare(s FloorShares, l FloorLight) Estimate {
	u := s.Fraction
	leftOut := 0.0
	if total := s.AreaM2 + s.LeftOutM2; total > 0 {
		leftOut = math.Max(s.LeftOutM2-l.BoardM2, 0) / total
	}
	level := math.Hypot(shareLeastSE, levelRelSE*u*math.Sqrt(1-u))
	tone := toneRelSE * l.ToneSD * u * (1 - u)
	split := opinionWeight * math.Max(math.Abs(u-s.Linear)-opinionAgree, 0)
	hidden := leftOutWeight * leftOut * u * (1 - u)
	e := FromShare(u, math.Hypot(math.Hypot(level, tone), math.Hypot(split, hidden)), shareFloor)
	e.Parts = calibrate.Joined([]calibrate.Part{
		{Name: PartLight, SD: math.Hypot(level, tone)},
		{Name: PartSegmentation, SD: split},
		{Name: PartHidden, SD: hidden},
	})
	e.Flags = floorFlags(s, l, leftOut)
	return e
}

// leftOutFlag: this much of the ring hidden is told to the reader.
const leftOutFlag = 0.25

func floorFlags(s FloorShares, l FloorLight, leftOut float64) []string {
	var out []string
	if math.Abs(s.Fraction-s.Binary) > opinionFlag {
		out = append(out, fmt.Sprintf("much of the light comes through small gaps: a plain threshold would say %.0f %%", 100*s.Binary))
	}
	if l.Contrast < hazyContrast {
		out = append(out, fmt.Sprintf("sun only %.1f times the shade: hazy, the share is less sure", l.Contrast))
	}
	if l.DarkShare > darkFlag {
		out = append(out, fmt.Sprintf("%.0f %% of the floor is black: a little more exposure would help", 100*l.DarkShare))
	}
	if leftOut > leftOutFlag {
		out = append(out, fmt.Sprintf("%.0f %% of the floor near the board was hidden or left out", 100*leftOut))
	}
	return out
}
