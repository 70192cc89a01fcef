package pipeline

import (
	"fmt"
	"runtime/debug"

	"rowlight/internal/orchard"
	"rowlight/metrics"
	"rowlight/vision"
)

// MeasurePair takes two photos of one scene, a step apart, from their bytes to the
// numbers that they give together; the first is the one that is measured in. It
// never panics and never returns an error: what went wrong is the outcome's status
// and reason.
func MeasurePair(first, second []byte, kind orchard.Kind, env Env) (out Outcome) {
	defer func() {
		if p := recover(); p != nil {
			out = failed(fmt.Sprintf("internal fault: %v", p), "send us both photos; the other photos are not touched")
			out.Flags = append(out.Flags, firstLines(string(debug.Stack()), 12))
		}
	}()
	var shots [2]Shot
	for i, data := range [2][]byte{first, second} {
		photo, err := vision.Decode(data)
		if err != nil {
			return fromError(out, err)
		}
		if shots[i], _, err = prepare(photo, kind, env); err != nil {
			return fromError(out, err)
		}
	}
	if a, b := shots[0].Photo, shots[1].Photo; a.W != b.W || a.H != b.H {
		return fromError(out, &metrics.Unusable{
			Reason: fmt.Sprintf("the two photos have %d x %d and %d x %d pixels", a.W, a.H, b.W, b.H),
			Mend:   "take both with the same camera, held the same way up",
		})
	}
	res, err := measureShots(shots[0], shots[1])
	if err != nil {
		return fromError(out, err)
	}
	out.Measurements, out.Flags, out.Overlay = res.Measurements, res.Flags, res.Overlay
	out.Status = orchard.Measured
	return out
}

func measureShots(first, second Shot) (ShotResult, error) {
	switch first.Kind {
	case orchard.Alley:
		pair, err := measureAlleyPair(first, second)
		if err != nil {
			return ShotResult{}, err
		}
		return pair.result(first), nil
	case orchard.Side:
		return measureSidePair(first, second)
	}
	return ShotResult{}, &metrics.Unusable{Reason: fmt.Sprintf("two photos of kind %q say no more than one", first.Kind), Mend: "nothing need be done"}
}
