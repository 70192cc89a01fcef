package vision

import (
	"bufio"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"
)

func samplesDir(t *testing.T) string {
	t.Helper()
	dir := filepath.Join("..", "..", "shared", "truth", "exif_samples_ianare")
	if _, err := os.Stat(dir); err != nil {
		t.Skipf("TRUTH MISSING: %v", err)
	}
	return dir
}

// readDump parses the samples' dump.txt, made by another EXIF reader: file (as
// jpg/gps/name.jpg) to tag to value.
func readDump(t *testing.T, dir string) map[string]map[string]string {
	t.Helper()
	f, err := os.Open(filepath.Join(dir, "dump.txt"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	out := map[string]map[string]string{}
	line := regexp.MustCompile(`^(?:EXIF|GPS|Image) (\w+) \([^)]*\): (.*)$`)
	current := map[string]string{}
	for s := bufio.NewScanner(f); s.Scan(); {
		if name, ok := strings.CutPrefix(s.Text(), "Opening: exif-samples-master/"); ok {
			current = map[string]string{}
			out[strings.TrimSpace(name)] = current
		} else if m := line.FindStringSubmatch(s.Text()); m != nil {
			current[m[1]] = m[2]
		}
	}
	return out
}

// fraction reads "24", "59/10".
func fraction(s string) float64 {
	n, d, ok := strings.Cut(strings.TrimSpace(s), "/")
	a, _ := strconv.ParseFloat(n, 64)
	if !ok {
		return a
	}
	b, _ := strconv.ParseFloat(d, 64)
	return a / b
}

// degrees reads "[43, 28, 1407/500]" with its reference letter.
func degrees(s, ref string) float64 {
	var v float64
	for i, p := range strings.Split(strings.Trim(s, "[]"), ",") {
		v += fraction(p) / math.Pow(60, float64(i))
	}
	if ref == "S" || ref == "W" {
		return -v
	}
	return v
}

// ReadMeta against the dump of the published samples (CC BY-SA 4.0).
func TestReadMetaAgainstPublishedDump(t *testing.T) {
	dir := samplesDir(t)
	dump := readDump(t, dir)
	files, _ := filepath.Glob(filepath.Join(dir, "jpg", "*", "*.jpg"))
	checked := 0
	for _, path := range files {
		rel, _ := filepath.Rel(dir, path)
		want := dump[filepath.ToSlash(rel)]
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		m := ReadMeta(data)
		number := func(tag string, got *float64) {
			text, there := want[tag]
			if v := fraction(text); !there || v == 0 {
				if got != nil && tag != "ExposureBiasValue" {
					t.Errorf("%s: %s %g, the dump has none", rel, tag, *got)
				}
			} else if got == nil || math.Abs(*got-v) > 1e-9*math.Abs(v) {
				t.Errorf("%s: %s %v, want %g", rel, tag, got, v)
			} else {
				checked++
			}
		}
		number("FocalLength", m.FocalMM)
		number("FocalLengthIn35mmFilm", m.Focal35MM)
		number("ExposureTime", m.ExposureSec)
		number("FNumber", m.FNumber)
		number("ExposureBiasValue", m.ExposureBias)
		number("ISOSpeedRatings", m.ISO)
		if m.Make != want["Make"] || m.Model != want["Model"] {
			t.Errorf("%s: %q %q, want %q %q", rel, m.Make, m.Model, want["Make"], want["Model"])
		}
		if at := want["DateTimeOriginal"]; (m.TakenAt != nil) != (at != "") || m.TakenAt != nil && m.TakenAt.Format("2006:01:02 15:04:05") != at {
			t.Errorf("%s: taken at %v, want %q", rel, m.TakenAt, at)
		}
		if lat := want["GPSLatitude"]; lat == "" {
			if m.LatDeg != nil {
				t.Errorf("%s: a place, the dump has none", rel)
			}
		} else if m.LatDeg == nil || m.LonDeg == nil ||
			math.Abs(*m.LatDeg-degrees(lat, want["GPSLatitudeRef"])) > 1e-9 ||
			math.Abs(*m.LonDeg-degrees(want["GPSLongitude"], want["GPSLongitudeRef"])) > 1e-9 {
			t.Errorf("%s: place %v %v, want %s %s", rel, m.LatDeg, m.LonDeg, lat, want["GPSLongitude"])
		} else {
			checked++
		}
	}
	if checked < 40 {
		t.Errorf("only %d values were compared", checked)
	}
}

// The orientation samples carry their orientation in their name.
func TestReadMetaOrientation(t *testing.T) {
	dir := samplesDir(t)
	for _, stem := range []string{"landscape_", "portrait_"} {
		for o := 1; o <= 8; o++ {
			data, err := os.ReadFile(filepath.Join(dir, "jpg", "orientation", stem+strconv.Itoa(o)+".jpg"))
			if err != nil {
				t.Fatal(err)
			}
			if m := ReadMeta(data); m.Orientation != o {
				t.Errorf("%s%d: orientation %d", stem, o, m.Orientation)
			}
		}
	}
}

// Broken samples may be refused; they may not panic or hang.
func TestReadMetaOfBrokenFiles(t *testing.T) {
	dir := samplesDir(t)
	files, _ := filepath.Glob(filepath.Join(dir, "jpg", "invalid", "*.jpg"))
	files = append(files, filepath.Join(dir, "jpg", "corrupted.jpg"))
	for _, path := range files {
		begin := time.Now()
		if data, err := os.ReadFile(path); err == nil {
			ReadMeta(data)
			_, _ = Decode(data)
		}
		if d := time.Since(begin); d > 5*time.Second {
			t.Errorf("%s took %v", filepath.Base(path), d)
		}
	}
}

// The tests below feed tags as the library hands them over.
func TestTakenAt(t *testing.T) {
	cases := []struct {
		tags    tagValues
		want    string // RFC 3339
		hasZone bool
	}{
		{tagValues{"DateTimeOriginal": "2024:10:28 13:20:33", "OffsetTimeOriginal": "+10:00"}, "2024-10-28T13:20:33+10:00", true},
		{tagValues{"DateTimeOriginal": "2024:10:28 13:20:33", "OffsetTime": "-03:30"}, "2024-10-28T13:20:33-03:30", true},
		{tagValues{"DateTimeOriginal": "2024:10:28 13:20:33", "OffsetTimeOriginal": "Z"}, "2024-10-28T13:20:33Z", true},
		{tagValues{"DateTimeOriginal": "2024:10:28 13:20:33"}, "2024-10-28T13:20:33Z", false},
		{tagValues{"DateTimeOriginal": "2024:10:28 13:20:33", "OffsetTimeOriginal": "   :  "}, "2024-10-28T13:20:33Z", false},
		{tagValues{"CreateDate": "2024:10:28 13:20:33"}, "2024-10-28T13:20:33Z", false},
		{tagValues{"DateTimeOriginal": "0000:00:00 00:00:00"}, "", false},
		{tagValues{"ModifyDate": "2024:10:28 13:20:33"}, "", false},
		{tagValues{}, "", false},
	}
	for _, c := range cases {
		at, zone := c.tags.takenAt()
		got := ""
		if at != nil {
			got = at.Format(time.RFC3339)
		}
		if got != c.want || zone != c.hasZone {
			t.Errorf("%v: %q, zone %v; want %q, %v", c.tags, got, zone, c.want, c.hasZone)
		}
	}
}

func TestPlaceNeedsBothAngles(t *testing.T) {
	full := tagValues{"GPSLatitude": 27.5, "GPSLatitudeRef": "S", "GPSLongitude": 152.25, "GPSLongitudeRef": "E"}
	if lat, lon := full.place(); lat == nil || *lat != -27.5 || lon == nil || *lon != 152.25 {
		t.Errorf("place %v %v", lat, lon)
	}
	for name, change := range map[string]func(tagValues){
		"no longitude":       func(v tagValues) { delete(v, "GPSLongitude") },
		"no hemisphere":      func(v tagValues) { delete(v, "GPSLatitudeRef") },
		"zero, zero":         func(v tagValues) { v["GPSLatitude"], v["GPSLongitude"] = 0.0, 0.0 },
		"past the pole":      func(v tagValues) { v["GPSLatitude"] = 91.0 },
		"undefined":          func(v tagValues) { v["GPSLatitude"] = "undef" },
		"a wrong hemisphere": func(v tagValues) { v["GPSLongitudeRef"] = "X" },
	} {
		v := tagValues{}
		for k, x := range full {
			v[k] = x
		}
		change(v)
		if lat, lon := v.place(); lat != nil || lon != nil {
			t.Errorf("%s: %v %v", name, lat, lon)
		}
	}
}

func TestReadMetaOfAnything(t *testing.T) {
	for _, data := range [][]byte{nil, []byte("no photo"), {0xff, 0xd8}, []byte("MM\x00*"), []byte("RIFF")} {
		if m := ReadMeta(data); m.Orientation != 1 || m.TakenAt != nil || m.LatDeg != nil || m.Make != "" {
			t.Errorf("%q: %+v", data, m)
		}
	}
}

// The rendered photos say all that matters: 26 mm equivalent, offset, place.
func TestReadMetaOfRenderedPhoto(t *testing.T) {
	data, err := os.ReadFile(filepath.Join("..", "testdata", "rendered", "practice_side_00.jpg"))
	if err != nil {
		t.Skipf("TRUTH MISSING: %v", err)
	}
	m := ReadMeta(data)
	// By exiftool 12.57: 2024:11:18 13:36:02+10:00; 27 deg 57' 11.28" S, 152 deg 31' 11.07" E.
	lat, lon := -(27 + 57/60.0 + 11.28/3600), 152+31/60.0+11.07/3600
	if m.TakenAt == nil || !m.HasZone || m.TakenAt.Format(time.RFC3339) != "2024-11-18T13:36:02+10:00" {
		t.Errorf("taken at %v, zone %v", m.TakenAt, m.HasZone)
	}
	if m.LatDeg == nil || math.Abs(*m.LatDeg-lat) > 2e-6 || math.Abs(*m.LonDeg-lon) > 2e-6 || m.F35() != 26 {
		t.Errorf("place %v %v, equivalent %g", m.LatDeg, m.LonDeg, m.F35())
	}
}
