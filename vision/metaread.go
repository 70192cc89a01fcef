package vision

import (
	"bytes"
	"math"
	"strings"
	"time"
	"unicode"

	"github.com/bep/imagemeta"
)

// ReadMeta returns what a photo's bytes say of how it was taken, without
// decoding a pixel. What is absent or cannot be read is nil; no bytes at all
// give an empty Meta. It never fails: a photo without EXIF is still a photo.
func ReadMeta(data []byte) Meta {
	switch {
	case bytes.HasPrefix(data, []byte("\xff\xd8")):
		return readMeta(data, formatJPEG)
	case bytes.HasPrefix(data, []byte(pngSignature)):
		return readMeta(data, formatPNG)
	case bytes.HasPrefix(data, []byte("II*\x00")), bytes.HasPrefix(data, []byte("MM\x00*")):
		return readMeta(data, formatTIFF)
	case bytes.HasPrefix(data, []byte("RIFF")):
		return readMeta(data, formatWebP)
	}
	return Meta{Orientation: 1}
}

func readMeta(data []byte, format fileFormat) Meta {
	kind, ok := map[fileFormat]imagemeta.ImageFormat{
		formatJPEG: imagemeta.JPEG, formatPNG: imagemeta.PNG, formatTIFF: imagemeta.TIFF, formatWebP: imagemeta.WebP,
	}[format]
	if !ok {
		return Meta{Orientation: 1}
	}
	return exifTags(data, kind).meta()
}

// tagValues are EXIF values by name, as the library hands them over.
type tagValues map[string]any

// exifTags reads the tags of the main picture; those of thumbnails and of
// sub-pictures are left out. What was read before an error stands.
func exifTags(data []byte, kind imagemeta.ImageFormat) tagValues {
	tags, bad := tagValues{}, false
	opts := imagemeta.Options{
		R: bytes.NewReader(data), ImageFormat: kind, Sources: imagemeta.EXIF,
		// The library hands over 0 for an angle it cannot read, with no more than
		// a warning.
		Warnf: func(format string, _ ...any) { bad = bad || strings.Contains(format, "degrees") },
		ShouldHandleTag: func(t imagemeta.TagInfo) bool {
			return t.Namespace == "IFD0" || t.Namespace == "IFD0/ExifIFDP" || t.Namespace == "IFD0/GPSInfoIFD"
		},
		HandleTag: func(t imagemeta.TagInfo) error {
			if _, again := tags[t.Tag]; !again {
				tags[t.Tag] = t.Value
			}
			return nil
		},
	}
	_, _ = imagemeta.Decode(opts) // a broken EXIF block is an absent one
	if bad {
		delete(tags, "GPSLatitude")
		delete(tags, "GPSLongitude")
	}
	return tags
}

func (t tagValues) meta() Meta {
	m := Meta{Orientation: 1, Make: t.text("Make"), Model: t.text("Model"), ImageUniqueID: t.text("ImageUniqueID")}
	if o := t.number("Orientation"); o != nil && *o >= 1 && *o <= 8 {
		m.Orientation = int(*o)
	}
	m.TakenAt, m.HasZone = t.takenAt()
	m.LatDeg, m.LonDeg = t.place()
	m.FocalMM, m.Focal35MM = t.focal("FocalLength", leastFocalMM), t.focal("FocalLengthIn35mmFormat", leastFocal35MM)
	m.ExposureBias, m.ExposureSec = t.number("ExposureCompensation"), t.positive("ExposureTime")
	m.FNumber = t.positive("FNumber")
	m.ISO, m.DigitalZoom = t.positive("ISO"), t.positive("DigitalZoomRatio")
	m.SubjectDistM = t.positive("SubjectDistance")
	if d := m.SubjectDistM; d != nil && *d >= farSubjectM {
		m.SubjectDistM = nil
	}
	return m
}

// farSubjectM: EXIF writes infinity as FFFFFFFF hex; nothing the tool measures
// lies a kilometre away.
const farSubjectM = 1000

// Focal lengths outside these are no lens's and are taken for absent: the shortest
// fisheyes, as 35 mm equivalents and on a phone's sensor, and above the longest
// telescopes (ours, a factor of two off what is sold).
const (
	leastFocal35MM, leastFocalMM = 4, 0.5
	mostFocalMM                  = 10_000
)

func (t tagValues) focal(name string, least float64) *float64 {
	if f := t.positive(name); f != nil && *f >= least && *f <= mostFocalMM {
		return f
	}
	return nil
}

// maxMetaLetters of a text are kept: makers and models have under 50.
const maxMetaLetters = 100

// text returns a tag's text on one line: without control characters, which would
// reach tables and terminals, and no longer than anything a camera writes.
func (t tagValues) text(name string) string {
	s, _ := t[name].(string)
	s, _, _ = strings.Cut(s, "\x00") // EXIF 2.32: a text ends with NUL
	s = strings.Map(func(r rune) rune {
		if !unicode.IsPrint(r) {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(s, ""))
	if letters := []rune(s); len(letters) > maxMetaLetters {
		s = string(letters[:maxMetaLetters])
	}
	return strings.TrimSpace(s)
}

// number returns a tag's number, the first of several; nil where the tag is
// absent, not a number, or not finite (0/0 in rationals).
func (t tagValues) number(name string) *float64 {
	v := t[name]
	if several, ok := v.([]any); ok && len(several) > 0 {
		v = several[0]
	}
	f := math.NaN()
	switch n := v.(type) {
	case interface{ Float64() float64 }:
		f = n.Float64()
	case float64:
		f = n
	case float32:
		f = float64(n)
	case uint8:
		f = float64(n)
	case uint16:
		f = float64(n)
	case uint32:
		f = float64(n)
	case int8:
		f = float64(n)
	case int16:
		f = float64(n)
	case int32:
		f = float64(n)
	case int:
		f = float64(n)
	}
	if math.IsNaN(f) || math.IsInf(f, 0) {
		return nil
	}
	return &f
}

// positive is number for tags in which 0 means "not known" (EXIF 2.32: focal
// length in 35 mm film, subject distance, digital zoom).
func (t tagValues) positive(name string) *float64 {
	if f := t.number(name); f != nil && *f > 0 {
		return f
	}
	return nil
}

// takenAt returns when the shutter opened, by the camera's clock, and whether
// its offset from UTC stands beside it; without one the clock's reading is given
// as if in UTC. The file's own date (ModifyDate) is not taken: programs change it.
func (t tagValues) takenAt() (*time.Time, bool) {
	for _, pair := range [][2]string{{"DateTimeOriginal", "OffsetTimeOriginal"}, {"CreateDate", "OffsetTimeDigitized"}} {
		at, err := time.Parse("2006:01:02 15:04:05", t.text(pair[0]))
		if err != nil {
			continue
		}
		for _, offset := range []string{pair[1], "OffsetTime"} {
			zone, err := time.Parse("-07:00", strings.Replace(t.text(offset), "Z", "+00:00", 1))
			_, seconds := zone.Zone()
			if err == nil && seconds >= -mostOffsetSec && seconds <= mostOffsetSec {
				at = time.Date(at.Year(), at.Month(), at.Day(), at.Hour(), at.Minute(), at.Second(), 0, time.FixedZone("", seconds))
				return &at, true
			}
		}
		return &at, false
	}
	return nil, false
}

// mostOffsetSec: no clock on earth is more than 14 hours from UTC (Kiribati); a day
// and more, which EXIF can hold, is no offset that a time can be written with.
const mostOffsetSec = 14 * 3600

// place returns latitude and longitude (degrees, north and east positive); both
// nil unless both are there with their hemisphere and within range. Exactly 0, 0
// is what phones write before they know where they are.
func (t tagValues) place() (latDeg, lonDeg *float64) {
	lat := t.signed("GPSLatitude", "N", "S", 90)
	lon := t.signed("GPSLongitude", "E", "W", 180)
	if lat == nil || lon == nil || *lat == 0 && *lon == 0 {
		return nil, nil
	}
	return lat, lon
}

func (t tagValues) signed(name, positive, negative string, most float64) *float64 {
	v := t.number(name)
	if v == nil || *v < 0 || *v > most {
		return nil
	}
	switch strings.ToUpper(t.text(name + "Ref")) {
	case positive:
		return v
	case negative:
		w := -*v
		return &w
	}
	return nil
}
