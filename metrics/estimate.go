// Package metrics turns masks and geometry into numbers of the trade: sunlit
// share of the floor, height, width, density, clear width; and those numbers
// into a priority. It knows trees and no files.
package metrics

import (
	"errors"
	"fmt"
	"math"

	"rowlight/calibrate"
)

// Z95 is the 97.5 % point of the normal distribution.
const Z95 = 1.959964

// Estimate is a value with its 95 % interval, in the unit its owner's name says.
type Estimate struct {
	Value, Low95, High95 float64
	Flags                []string // short sentences in a grower's words
	// Parts are what the interval is made of, in the value's unit; nil where it was
	// not split.
	Parts []calibrate.Part
}

// The parts of a number's error beside the pose's (calibrate.PartCorners and on).
const (
	PartSegmentation = "segmentation" // what is leaf, floor, sky: edges and doubtful classes
	PartDepth        = "depth"        // how far before or behind the measured plane the crown reaches
	PartSampling     = "sampling"     // what was seen stands for what was not
	PartLight        = "light"        // the levels of sun and shade
	PartGround       = "ground"       // the board's foot over the ground at the tree
	PartHidden       = "hidden"       // what stands before what is measured
	PartLeafAngle    = "leaf angle"   // in bringing a share to another sun
)

// SD returns the standard deviation the interval stands for, normal theory.
func (e Estimate) SD() float64 { return (e.High95 - e.Low95) / (2 * Z95) }

// FromLength turns a length into an estimate (metres).
func FromLength(l calibrate.Length) Estimate {
	low, high := l.Interval95()
	return Estimate{Value: l.M, Low95: math.Max(low, 0), High95: high}
}

// FromShare returns a share with the 95 % interval of its logit, se its
// standard error on the share's own scale; p is kept off 0 and 1 by half of
// floor, the smallest share that could have been seen. (trade check: p .20
// se .025 -> .1554-.2535.)
func FromShare(p, se, floor float64) Estimate {
	e := Estimate{Value: p}
	q := math.Min(math.Max(p, floor/2), 1-floor/2)
	d := Z95 * se / (q * (1 - q))
	l := math.Log(q / (1 - q))
	e.Low95 = math.Min(p, 1/(1+math.Exp(-(l-d))))
	e.High95 = math.Max(p, 1/(1+math.Exp(-(l+d))))
	return e
}

// Unusable is why a photo cannot give a number: the value measured, the limit,
// and what to change. It is no failure of ours.
type Unusable struct {
	Reason string // "sun 24 deg above the horizon, 30 needed"
	Mend   string // "come back when the sun is higher: after 09:40"
}

func (u *Unusable) Error() string { return fmt.Sprintf("%s: %s", u.Reason, u.Mend) }

// AsUnusable finds an Unusable in an error chain.
func AsUnusable(err error) (*Unusable, bool) {
	var u *Unusable
	ok := errors.As(err, &u)
	return u, ok
}
