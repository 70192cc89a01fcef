package pipeline

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"runtime"
	"runtime/debug"
	"slices"

	"rowlight/internal/crew"
	"rowlight/internal/orchard"
	"rowlight/vision"
)

const (
	// workerGC is how much a worker's heap may grow before it is cleared, in per cent of
	// what is in use, while it does anything but measure one photo.
	workerGC = 40
	// workerBytes and workerBytesPx are how much memory of Go's a worker may take before
	// it is cleared, at all and for each pixel of its photo, of which 3 are the photo's
	// own: 148 MB for 12 megapixels, of which 36 to 100 are in use at any time. With two
	// workers a run then holds 400 MiB; clearing by workerGC it holds 305, for 4 % of the time.
	workerBytes, workerBytesPx = 100_000_000, 4
)

// ServeWorker is the life of a worker process of a run by the same version of the
// program: RunOptions.Worker starts it. It returns when the run is over or gone.
func ServeWorker(in io.Reader, out io.Writer, version string) error {
	if err := vision.SetThreads(1); err != nil { // a worker a core does the spreading
		return err
	}
	runtime.GOMAXPROCS(1) // else the clearing wakes threads that the other workers' cores are wanted for
	h := &hand{alone: true}
	return crew.Serve(in, out, version, h.answer)
}

// hand measures one photo after another.
type hand struct {
	decoder vision.Decoder
	alone   bool // it has its process for itself
}

// decode decodes a photo that is measured next. The heap is cleared before that and not
// by workerGC: what is free after it would go back to the system, page by page, and be
// fetched again for this photo.
func (h *hand) decode(data []byte) (*vision.Photo, error) {
	if h.alone {
		debug.SetMemoryLimit(math.MaxInt64)
		debug.SetGCPercent(-1)
		runtime.GC()
	}
	photo, err := h.decoder.Decode(data)
	if err == nil && h.alone {
		debug.SetMemoryLimit(workerBytes + workerBytesPx*int64(photo.W)*int64(photo.H))
	}
	return photo, err
}

// spare clears the heap early, whatever is in use: a limit that lies below that would
// have it cleared without an end.
func (h *hand) spare() {
	if h.alone {
		debug.SetGCPercent(workerGC)
		debug.SetMemoryLimit(math.MaxInt64)
	}
}

// answer fills the question's record. Whatever the photo, it does not panic, and the
// record can be kept: one that holds a number that is none is failed.
func (h *hand) answer(m crew.Message) crew.Message {
	var q question
	if err := json.Unmarshal(m.Words, &q); err != nil {
		return packed(q.Record, faulty(q.Record, err), nil)
	}
	return h.filled(q, m.Pieces)
}

func (h *hand) filled(q question, photos [][]byte) (m crew.Message) {
	defer func() {
		if p := recover(); p != nil {
			m = packed(q.Record, faulty(q.Record, p), nil)
		}
	}()
	env, err := q.Env.env()
	if err != nil {
		return packed(q.Record, faulty(q.Record, err), nil)
	}
	if q.About != askPhoto {
		h.spare()
	}
	var out Outcome
	switch rec := q.Record; {
	case q.About == askPhoto && len(photos) == 1:
		out = measure(h.decode, photos[0], rec.Kind, env)
	case q.About == askPair && len(photos) == 2:
		out = MeasurePair(photos[0], photos[1], rec.Kind, env)
	case q.About == askLook && len(photos) == 1:
		lookInto(&rec, photos[0])
		return packed(q.Record, rec, nil)
	default:
		return packed(q.Record, faulty(rec, fmt.Sprintf("no way to answer %q of %d photos", q.About, len(photos))), nil)
	}
	var drawn bytes.Buffer
	if out.Overlay != nil {
		if err := out.Overlay.Encode(&drawn); err != nil {
			return packed(q.Record, faulty(q.Record, err), nil)
		}
	}
	return packed(q.Record, fill(q.Record, out), drawn.Bytes())
}

// packed makes a message of a record and its drawn copy. asked is the record as it was
// in the question, and so can be packed.
func packed(asked, rec orchard.Record, drawn []byte) crew.Message {
	words, err := json.Marshal(rec)
	if err != nil { // a number that is none
		drawn = nil
		words, _ = json.Marshal(faulty(asked, err))
	}
	return crew.Message{Words: words, Pieces: [][]byte{drawn}}
}

// fill puts what its photo gave, or its two, into a record.
func fill(rec orchard.Record, out Outcome) orchard.Record {
	rec.Status, rec.Reason, rec.Mend = out.Status, out.Reason, out.Mend
	rec.Measurements, rec.Flags = out.Measurements, slices.Concat(rec.Flags, out.Flags)
	if rec.Pair == nil { // a pair's are its first photo's
		rec.TakenAt, rec.LatDeg, rec.LonDeg, rec.Boards, rec.Camera = out.TakenAt, out.LatDeg, out.LonDeg, out.Boards, out.Camera
	}
	return rec
}

// faulty is a record whose measuring met a fault of ours.
func faulty(rec orchard.Record, fault any) orchard.Record {
	rec.Status, rec.Reason, rec.Mend = orchard.Failed, fmt.Sprintf("internal fault: %v", fault), faultMend
	return rec
}
