package pipeline

import (
	"errors"
	"fmt"
	"runtime/debug"
	"sort"
	"strings"
	"time"

	"rowlight/calibrate"
	"rowlight/internal/orchard"
	"rowlight/internal/overlay"
	"rowlight/metrics"
	"rowlight/vision"
)

// Env is what is known of every photo of a run before it is opened.
type Env struct {
	Set ShotSettings
	// Lenses are the calibrated ones; a photo of none of them takes EXIF's word.
	Lenses []orchard.Lens
	// Place stands in for a photo without GPS; nil where there is none.
	Place *Place
	// Zone reads the capture time of a photo without an offset; nil is UTC and
	// means that the sun cannot be placed for such a photo.
	Zone *time.Location
	// NumbersOnly leaves out the drawn copy of each photo.
	NumbersOnly bool
}

// Place is a point on the earth, WGS 84.
type Place struct{ LatDeg, LonDeg float64 }

// Outcome is what one photo gave.
type Outcome struct {
	Status       orchard.Status
	Reason, Mend string
	Measurements []orchard.Measurement
	Flags        []string
	Boards       []int
	Camera       string // make and model
	TakenAt      *time.Time
	LatDeg       *float64
	LonDeg       *float64
	Overlay      *overlay.Canvas
}

// Measure takes one photo from its bytes to its numbers. It never panics and
// never returns an error: what went wrong is the outcome's status and reason.
func Measure(data []byte, kind orchard.Kind, env Env) Outcome {
	return measure(vision.Decode, data, kind, env)
}

func measure(decode func([]byte) (*vision.Photo, error), data []byte, kind orchard.Kind, env Env) (out Outcome) {
	defer func() {
		if p := recover(); p != nil {
			out = failed(fmt.Sprintf("internal fault: %v", p), faultMend)
			out.Flags = append(out.Flags, firstLines(string(debug.Stack()), 12))
		}
	}()
	photo, err := decode(data)
	if err != nil {
		return fromError(Outcome{}, err)
	}
	return MeasurePhoto(photo, kind, env)
}

// MeasureFile is Measure for a photo on disk.
func MeasureFile(path string, kind orchard.Kind, env Env) Outcome {
	data, err := readPhoto(path)
	if err != nil {
		return failed(readReason(err), readMend)
	}
	return Measure(data, kind, env)
}

// MeasurePhoto is Measure for a photo that is already decoded.
func MeasurePhoto(photo *vision.Photo, kind orchard.Kind, env Env) Outcome {
	out := Outcome{TakenAt: photo.Meta.TakenAt, LatDeg: photo.Meta.LatDeg, LonDeg: photo.Meta.LonDeg, Camera: cameraName(photo.Meta)}
	shot, flags, err := prepare(photo, kind, env)
	out.Flags = append(out.Flags, flags...)
	for n := range shot.Boards {
		out.Boards = append(out.Boards, n)
	}
	sort.Ints(out.Boards)
	if err != nil {
		return fromError(out, err)
	}
	by, err := measurer(kind)
	if err != nil {
		return fromError(out, err)
	}
	res, err := by(shot)
	out.Measurements = res.Measurements
	out.Flags = append(out.Flags, res.Flags...)
	out.Overlay = res.Overlay
	if err != nil {
		return fromError(out, err)
	}
	out.Status = orchard.Measured
	return out
}

func measurer(kind orchard.Kind) (func(Shot) (ShotResult, error), error) {
	switch kind {
	case orchard.Floor:
		return measureFloor, nil
	case orchard.Side:
		return measureSide, nil
	case orchard.Alley:
		return measureAlley, nil
	case orchard.AlleyFloor:
		return measureAlleyFloor, nil
	case orchard.Up:
		return measureUp, nil
	}
	return nil, &metrics.Unusable{
		Reason: fmt.Sprintf("no telling what kind of shot %q is", kind),
		Mend:   "put floor, side, alley or up in the photo's name or in photos.csv",
	}
}

// prepare finds the boards and the sun. It refuses a photo without a board, but for
// one taken straight up.
func prepare(photo *vision.Photo, kind orchard.Kind, env Env) (Shot, []string, error) {
	shot := Shot{
		Photo: photo, Kind: kind, Set: env.Set, NumbersOnly: env.NumbersOnly,
		Camera: cameraOf(photo, env.Lenses),
	}
	var flags []string
	if kind == orchard.Up { // no board can be over one's head, and no sun is wanted
		return shot, nil, nil
	}
	shot.Sun, flags = sunAt(photo.Meta, env)
	seen, err := vision.Markers(photo)
	if err != nil {
		return shot, flags, err
	}
	boards, err := vision.GroupBoards(seen)
	if err != nil {
		return shot, flags, &metrics.Unusable{Reason: err.Error(), Mend: "take one of them away, and print each board with its own number: never two of one number in a photo"}
	}
	shot.Boards = boards
	return shot, flags, boardCheck(boards)
}

// boardCheck refuses a photo in which no board shows two of its markers.
func boardCheck(boards map[int][]calibrate.MarkerSighting) error {
	most := 0
	for _, seen := range boards {
		most = max(most, len(seen))
	}
	switch {
	case most >= minMarkers:
		return nil
	case most == 0:
		return &metrics.Unusable{Reason: "no marker board found", Mend: "step back until all four markers of the board show, sharp and not cut off"}
	}
	return &metrics.Unusable{
		Reason: fmt.Sprintf("only %d marker of the board found, %d needed", most, minMarkers),
		Mend:   "clear leaves and hard sun flecks off the board, or move it, until all four markers show",
	}
}

// minMarkers of one board fix its pose.
const minMarkers = 2

// fromError sorts an error into refused (the photo's fault) and failed (the
// file's or ours).
func fromError(out Outcome, err error) Outcome {
	if u, ok := metrics.AsUnusable(err); ok {
		out.Status, out.Reason, out.Mend = orchard.Refused, u.Reason, u.Mend
		return out
	}
	var fe *vision.FileError
	if errors.As(err, &fe) {
		out.Status, out.Reason, out.Mend = orchard.Failed, fe.Reason, fe.Mend
		return out
	}
	bad := failed(err.Error(), "take the photo again; if it happens again, send us the photo")
	bad.Camera = out.Camera
	bad.TakenAt, bad.LatDeg, bad.LonDeg, bad.Flags = out.TakenAt, out.LatDeg, out.LonDeg, out.Flags
	return bad
}

func failed(reason, mend string) Outcome {
	return Outcome{Status: orchard.Failed, Reason: reason, Mend: mend}
}

func firstLines(s string, n int) string {
	for i := range s {
		if s[i] == '\n' {
			if n--; n == 0 {
				return s[:i]
			}
		}
	}
	return s
}

func cameraName(m vision.Meta) string { return strings.TrimSpace(m.Make + " " + m.Model) }
