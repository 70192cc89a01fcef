package pipeline_test

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"math"
	"testing"

	"rowlight/internal/orchard"
	"rowlight/internal/pipeline"
)

// withFocal35 writes another 35 mm equivalent into a photo's EXIF (tag A405, one
// short; EXIF 2.32).
func withFocal35(t *testing.T, photo []byte, mm uint16) []byte {
	t.Helper()
	out := bytes.Clone(photo)
	for _, order := range []binary.AppendByteOrder{binary.BigEndian, binary.LittleEndian} {
		head := order.AppendUint32(order.AppendUint16(order.AppendUint16(nil, 0xa405), 3), 1)
		if i := bytes.Index(out, head); i >= 0 {
			copy(out[i+len(head):], order.AppendUint16(nil, mm))
			return out
		}
	}
	t.Fatal("the photo says no 35 mm equivalent")
	return nil
}

// A focal length that no lens has is not believed, one that a lens could have and
// this one has not is refused or gives numbers with finite intervals: never a panic,
// never what is no number.
func TestAbsurdFocalLengthsGiveNoAbsurdNumbers(t *testing.T) {
	if testing.Short() {
		t.Skip("measures photos: slow under the race detector, and nothing for it to find")
	}
	photo := truthPhoto(t, "practice_floor_00")
	env := pipeline.Env{Set: pipeline.DefaultSettings(), NumbersOnly: true}
	unknown := pipeline.Measure(withFocal35(t, photo, 0), orchard.Floor, env)
	for _, mm := range []uint16{1, 4, 8, 300, 10000, 65535} {
		out := pipeline.Measure(withFocal35(t, photo, mm), orchard.Floor, env)
		if out.Status != orchard.Measured && out.Status != orchard.Refused || out.Status == orchard.Refused && (out.Reason == "" || out.Mend == "") {
			t.Errorf("%d mm: %s: %s: %s", mm, out.Status, out.Reason, out.Mend)
		}
		for _, m := range out.Measurements {
			for _, v := range []*float64{m.Value, m.Low95, m.High95} {
				if v != nil && (math.IsNaN(*v) || math.IsInf(*v, 0)) {
					t.Errorf("%d mm: %s is %g", mm, m.Quantity, *v)
				}
			}
		}
		if rec := (orchard.Record{Measurements: out.Measurements}); rec.Check() != nil {
			t.Errorf("%d mm: %v", mm, rec.Check())
		}
		if no := mm < 4 || mm > 10000; no {
			got, _ := json.Marshal(out.Measurements)
			want, _ := json.Marshal(unknown.Measurements)
			if !bytes.Equal(got, want) || out.Status != unknown.Status {
				t.Errorf("%d mm is believed: %s, without it %s", mm, got, want)
			}
		}
	}
}
