package pipeline_test

import (
	"bytes"
	"context"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"rowlight/internal/orchard"
	"rowlight/internal/pipeline"
)

const truthDir = "../../testdata/rendered"

// orchardFile is the least that an orchard needs.
const orchardFile = `name = "Test orchard"
[place]
latitude_deg = -28
longitude_deg = 152.5
time_zone = "Etc/GMT-10"
[[blocks]]
key = "b1"
habit = "vigorous"
rows = 2
trees_per_row = 6
row_spacing_m = 8
tree_spacing_m = 5
row_direction_deg = 0
`

const visit = "2026-08-14"

// newOrchard makes an orchard folder with these photos in one visit.
func newOrchard(t *testing.T, photos map[string][]byte) string {
	t.Helper()
	dir := t.TempDir()
	at := filepath.Join(dir, "photos", visit)
	if err := os.MkdirAll(at, 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, orchard.FileName), []byte(orchardFile), 0o644); err != nil {
		t.Fatal(err)
	}
	for name, data := range photos {
		if err := os.WriteFile(filepath.Join(at, name), data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

func truthPhoto(t *testing.T, stem string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(truthDir, stem+".jpg"))
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func runIn(t *testing.T, dir string) *pipeline.Result {
	t.Helper()
	o, err := orchard.Load(dir)
	if err != nil {
		t.Fatal(err)
	}
	res, err := pipeline.Run(context.Background(), pipeline.RunOptions{Dir: dir, Orchard: o, Visit: visit, Version: "test"}, nil)
	if err != nil {
		t.Fatal(err)
	}
	return res
}

func encodeJPEG(t *testing.T, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func encodePNG(t *testing.T, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// hugePNG declares a picture of w x h without carrying its pixels.
func hugePNG(w, h uint32) []byte {
	head := binary.BigEndian.AppendUint32(nil, w)
	head = binary.BigEndian.AppendUint32(head, h)
	head = append(head, 8, 2, 0, 0, 0) // 8 bits, RGB
	chunk := append([]byte("IHDR"), head...)
	out := append([]byte("\x89PNG\r\n\x1a\n"), 0, 0, 0, 13)
	out = append(out, chunk...)
	out = binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(chunk))
	end := []byte("IEND")
	out = append(append(out, 0, 0, 0, 0), end...)
	return binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(end))
}

func heic() []byte {
	return append([]byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00heicmif1"), make([]byte, 4000)...)
}

// plain is a photo of nothing: no board in it.
func plain(w, h int) image.Image {
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	rng := rand.New(rand.NewPCG(1, 2))
	for i := range img.Pix {
		img.Pix[i] = uint8(60 + rng.IntN(90))
	}
	return img
}

func sixteenBit() image.Image {
	img := image.NewNRGBA64(image.Rect(0, 0, 800, 600))
	for y := range 600 {
		for x := range 800 {
			img.SetNRGBA64(x, y, color.NRGBA64{R: 30000, G: uint16(20000 + x), B: uint16(10000 + y), A: 65535})
		}
	}
	return img
}

// Each bad photo gets a record with a reason and a mend; the good one among them is
// measured, and the batch ends well.
func TestBadPhotosNeverStopTheBatch(t *testing.T) {
	if testing.Short() {
		t.Skip("measures many photos one after another: minutes under the race detector, and nothing for it to find")
	}
	good := truthPhoto(t, "practice_c_floor_10")
	cases := []struct {
		name   string
		file   string
		data   []byte
		status orchard.Status
		says   string // a word the reason must hold
	}{
		{"truncated JPEG", "b1-r01-t01-floor.jpg", good[:len(good)*2/3], orchard.Failed, "cut short"},
		{"zero bytes", "b1-r01-t02-floor.jpg", nil, orchard.Failed, "empty"},
		{"text named .jpg", "b1-r01-t03-floor.jpg", []byte("Dear crew, the photos are on the other card.\n"), orchard.Failed, "not a"},
		{"1x1", "b1-r01-t04-floor.jpg", encodeJPEG(t, plain(1, 1)), orchard.Failed, "1 x 1"},
		{"over 100 megapixels", "b1-r01-t05-floor.png", hugePNG(20000, 10000), orchard.Failed, "megapixel"},
		{"16 bit without a board", "b1-r01-t06-floor.png", encodePNG(t, sixteenBit()), orchard.Refused, "board"},
		{"HEIC", "b1-r02-t01-floor.heic", heic(), orchard.Failed, "HEIC"},
		{"no board", "b1-r02-t03-floor.jpg", encodeJPEG(t, plain(1600, 1200)), orchard.Refused, "board"},
		{"tree that is not there", "b1-r09-t01-floor.jpg", good, orchard.Unplaced, "row"},
		{"no name, no card", "IMG_0001.jpg", good, orchard.Unplaced, "no tree card"},
	}
	const sound = "b1-r02-t02-floor.jpg"
	photos := map[string][]byte{sound: truthPhoto(t, "practice_floor_00")}
	for _, tc := range cases {
		photos[tc.file] = tc.data
	}
	records := map[string]orchard.Record{}
	for _, r := range runIn(t, newOrchard(t, photos)).Visit.Photos {
		records[filepath.Base(r.Path)] = r
	}
	if len(records) != len(photos) {
		t.Errorf("%d records for %d photos", len(records), len(photos))
	}
	if r := records[sound]; r.Status != orchard.Measured {
		t.Errorf("the good photo is %s: %s", r.Status, r.Reason)
	}
	for _, tc := range cases {
		r := records[tc.file]
		if r.Status != tc.status || r.Reason == "" || r.Mend == "" {
			t.Errorf("%s: status %q, want %q; reason %q, mend %q", tc.name, r.Status, tc.status, r.Reason, r.Mend)
		}
		if !strings.Contains(strings.ToLower(r.Reason+" "+r.Mend), strings.ToLower(tc.says)) {
			t.Errorf("%s: reason %q does not say %q", tc.name, r.Reason, tc.says)
		}
		if len(r.Measurements) > 0 && r.Status != orchard.Refused {
			t.Errorf("%s: a photo that is %s has numbers", tc.name, r.Status)
		}
	}
}
