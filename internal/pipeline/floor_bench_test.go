package pipeline

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/jpeg"
	"os"
	"path/filepath"
	"testing"

	"github.com/disintegration/imaging"

	"rowlight/internal/orchard"
)

// A phone's 12-megapixel photo.
const benchW, benchH = 4000, 3000

// BenchmarkCheck is what `rowlight check` does with one photo of 12 megapixels,
// from its bytes to its numbers, kind by kind. The photos are kept ones made
// larger, so their grain is coarser than a phone's.
//
//	go test -run xxx -bench Check -cpu 1,2 ./internal/pipeline
func BenchmarkCheck(b *testing.B) {
	for _, c := range []struct {
		kind orchard.Kind
		glob string
	}{{orchard.Floor, "*_floor_0*.jpg"}, {orchard.Side, "*_side_0?.jpg"}, {orchard.Alley, "*_alley_0?.jpg"}} {
		b.Run(string(c.kind), func(b *testing.B) {
			data := enlarged(b, c.glob)
			env := Env{Set: DefaultSettings(), NumbersOnly: true}
			b.ReportAllocs()
			for b.Loop() {
				if out := Measure(data, c.kind, env); out.Status != orchard.Measured {
					b.Fatalf("%s: %s", out.Status, out.Reason)
				}
			}
		})
	}
}

// enlarged is the first kept photo of a glob at 12 megapixels, its EXIF kept.
func enlarged(b *testing.B, glob string) []byte {
	b.Helper()
	files, err := filepath.Glob(filepath.Join("../../testdata/rendered", glob))
	if err != nil || len(files) == 0 {
		b.Fatalf("no photo %s is kept in testdata: %v", glob, err)
	}
	data, err := os.ReadFile(files[0])
	if err != nil {
		b.Fatal(err)
	}
	small, err := jpeg.Decode(bytes.NewReader(data))
	if err != nil {
		b.Fatal(err)
	}
	var big bytes.Buffer
	var large image.Image = imaging.Resize(small, benchW, benchH, imaging.CatmullRom)
	if err := jpeg.Encode(&big, large, &jpeg.Options{Quality: 92}); err != nil {
		b.Fatal(err)
	}
	const soi = 2
	return append(append(append([]byte{}, data[:soi]...), exifSegment(data)...), big.Bytes()[soi:]...)
}

// exifSegment returns a JPEG's APP1 segment, marker and length included.
func exifSegment(data []byte) []byte {
	for at := 2; at+4 < len(data) && data[at] == 0xff && data[at+1] != 0xda; {
		end := at + 2 + int(binary.BigEndian.Uint16(data[at+2:]))
		if data[at+1] == 0xe1 {
			return data[at:end]
		}
		at = end
	}
	return nil
}
