package main

import (
	"bytes"
	"encoding/binary"
	"encoding/csv"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"rowlight/internal/orchard"
)

// The visits of the hostile orchard: names that CheckVisit lets through and that
// links, cells and SQL must all survive.
const (
	hostileBefore = "2026-08-14 #1;=1 & 'x' %41"
	hostileAfter  = "2026-09-30 +2 -- %2e%2e"
)

// hostileWords are what a name, a note or a camera's text may say to break out of
// where it is written.
func hostileWords() []string {
	return []string{
		`<script>alert(1)</script>`, `"><img src=x onerror=1>`, `=HYPERLINK("x")`, `+1`, `-1`, `@SUM(A1)`, "\t=1", "\r=1",
		`'; DROP TABLE record; --`, `../../etc/passwd`, "a\nrowlight: all is well", "\x1b[2J\x1b[31mred", "\u202egpj.exe", "\u009b31m",
		`{{.Orchard}}`, "\U0001F951", `javascript:alert(1)`, `%s%n%00`, `;=1+1`, "\x9b31m", ") Tj ET BT (", strings.Repeat("long", 50),
	}
}

// inOneLine leaves out of hostile words what orchard.toml refuses.
func inOneLine(words []string) []string {
	var out []string
	for _, w := range words {
		if utf8.ValidString(w) && !strings.ContainsFunc(w, unicode.IsControl) {
			out = append(out, w)
		}
	}
	return out
}

// hostileOrchard lays out two visits in which every text that comes from outside is
// hostile; two photos of each can be measured.
func hostileOrchard(t *testing.T) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "orchard")
	words := inOneLine(hostileWords())
	var name strings.Builder
	name.WriteString("\U0001F951 \u202e) Tj ET (")
	for _, w := range words {
		if name.Len()+len(w) < 150 {
			name.WriteString(w + " ")
		}
	}
	put := func(data []byte, parts ...string) {
		at := filepath.Join(append([]string{dir}, parts...)...)
		if err := errors.Join(os.MkdirAll(filepath.Dir(at), 0o755), os.WriteFile(at, data, 0o644)); err != nil {
			t.Fatal(err)
		}
	}
	put(fmt.Appendf(nil, `name = %s
[place]
latitude_deg = -28
longitude_deg = 152.5
time_zone = "Etc/GMT-10"
[[blocks]]
key = "b1"
name = %s
cultivar = %s
habit = "vigorous"
rows = 2
trees_per_row = 3
row_spacing_m = 8
tree_spacing_m = 5
row_direction_deg = 0
first_tree_latitude_deg = -28
first_tree_longitude_deg = 152.5
`, tomlText(name.String()), tomlText(`=1</title></text><script>x`+"\u202e\U0001F951"), tomlText(words[1])), orchard.FileName)
	placed, marks, tapes := [][]string{{"photo", "block", "row", "tree", "kind", "note"}}, [][]string{{"block", "row", "tree", "mark", "since", "note"}},
		[][]string{{"block", "row", "tree", "visit", "quantity", "value_m", "note"}}
	photo := withCameraText(t, rendered(t, "practice_floor_00"), `<script>alert(1)</script>`, "=HYPERLINK(\"x\")\x1b[31m\x00", "\"><img src=x onerror=1>\r\n../../etc/passwd")
	for _, visit := range []string{hostileBefore, hostileAfter} {
		for i, w := range hostileWords() {
			file := strings.NewReplacer("/", "_", "\x00", "_").Replace(w) + ".jpg"
			data := []byte("this is not a photo")
			if strings.HasPrefix(w, "=HYPERLINK") {
				data = photo
				placed = append(placed, []string{orchard.SafeCell(file), "b1", "1", "1", "floor", w})
			}
			put(data, orchard.PhotosDir, visit, file)
			if w := strings.ToValidUTF8(w, "?"); i < 6 {
				marks = append(marks, []string{"b1", fmt.Sprint(1 + i/3), fmt.Sprint(1 + i%3), "flooded", "2026-01-01", w})
			}
		}
		other := withCameraText(t, rendered(t, "practice_floor_00"), "=1", "@x", "not the same file")
		put(other, orchard.PhotosDir, visit, `b1-r01-t02-floor-"><img src=x onerror=1>;=1.jpg`)
		tapes = append(tapes, []string{"b1", "1", "3", visit, "height", "6.4", words[0]})
	}
	marks = append(marks, []string{"b1", "2", "1", "power_line", "2026-01-01", "=HYPERLINK(\"http://x\");\u202e<b>"})
	put(csvOf(t, placed[:2]), orchard.PhotosFile) // by the bare name: it means both visits
	put(csvOf(t, marks), orchard.MarksFile)
	put(csvOf(t, tapes), orchard.MeasuredFile)
	return dir
}

func tomlText(s string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(s) + `"`
}

func csvOf(t *testing.T, rows [][]string) []byte {
	t.Helper()
	var b bytes.Buffer
	for _, row := range rows { // our sheets keep a row on a line
		for i := range row {
			row[i] = strings.NewReplacer("\n", " ", "\r", " ").Replace(row[i])
		}
	}
	if err := csv.NewWriter(&b).WriteAll(rows); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// withCameraText gives a JPEG an EXIF block of these texts in place of its own:
// ImageDescription, Make and Model, and a capture time so that the sun is known.
func withCameraText(t *testing.T, photo []byte, maker, model, description string) []byte {
	t.Helper()
	fields := []struct {
		tag  uint16
		text string
	}{{0x010e, description}, {0x010f, maker}, {0x0110, model}, {0x9003, "2024:12:03 11:30:00"}, {0x9011, "+10:00"}}
	dir := binary.BigEndian.AppendUint16([]byte("MM\x00*\x00\x00\x00\x08"), uint16(len(fields)))
	heapAt := len(dir) + 12*len(fields) + 4
	var heap []byte
	for _, f := range fields {
		dir = binary.BigEndian.AppendUint16(dir, f.tag)
		dir = append(dir, 0, 2) // ASCII
		dir = binary.BigEndian.AppendUint32(dir, uint32(len(f.text)+1))
		dir = binary.BigEndian.AppendUint32(dir, uint32(heapAt+len(heap)))
		heap = append(append(heap, f.text...), 0)
	}
	block := slices.Concat([]byte("Exif\x00\x00"), dir, make([]byte, 4), heap)
	app1 := append(binary.BigEndian.AppendUint16([]byte{0xff, markAPP1}, uint16(len(block)+2)), block...)
	from, to := segment(t, photo, markAPP1)
	return slices.Concat(photo[:from], app1, photo[to:])
}
