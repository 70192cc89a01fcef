package main

import (
	"bytes"
	"encoding/binary"
	"encoding/csv"
	"encoding/json"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net/url"
	"os"
	"os/exec"
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

// files lists what lies below a folder, each with its content.
func files(t *testing.T, dir string) map[string]string {
	t.Helper()
	out := map[string]string{}
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := os.ReadFile(path)
		rel, _ := filepath.Rel(dir, path)
		out[filepath.ToSlash(rel)] = string(data)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// Whatever names, notes and cameras say, it stays words: in every file that rowlight
// writes and on the terminal; and nothing is written but where it should be.
func TestHostileNamesStayWordsEverywhere(t *testing.T) {
	if testing.Short() {
		t.Skip("measures photos: slow under the race detector, and nothing for it to find")
	}
	dir := hostileOrchard(t)
	above := filepath.Dir(dir)
	before := files(t, above)
	for _, c := range []struct {
		exit int
		args []string
	}{
		{exitOK, []string{"boards", "--numbers", "0", dir}},
		{exitSomeRefused, []string{"assess", "--visit", hostileBefore, dir}},
		{exitSomeRefused, []string{"assess", "--visit", hostileAfter, "--json", dir}},
		{exitOK, []string{"plan", "--visit", hostileBefore, dir}},
		{exitOK, []string{"plan", "--visit", hostileAfter, "--json", dir}},
		{exitOK, []string{"compare", "--before", hostileBefore, "--after", hostileAfter, dir}},
		{exitOK, []string{"compare", "--before", hostileBefore, "--after", hostileAfter, "--json", dir}},
		{exitOK, []string{"history", dir}},
		{exitOK, []string{"history", "--json", dir}},
		{exitOK, []string{"explain", "--visit", hostileBefore, dir, "b1-r01-t01"}},
		{exitSomeRefused, append([]string{"check", "--kind", "floor"}, photosBelow(t, dir)...)},
		{exitSomeRefused, append([]string{"check", "--json"}, photosBelow(t, dir)...)},
		{exitCannotRun, []string{"lens", filepath.Join(dir, orchard.PhotosDir, hostileAfter)}},
	} {
		code, stdout, stderr := inProcess(t, c.args...)
		if code != c.exit {
			t.Errorf("%s: exit status %d, want %d\n%s", c.args[0], code, c.exit, stderr)
		}
		onTerminal(t, c.args[0], stdout)
		onTerminal(t, c.args[0], stderr)
		if slices.Contains(c.args, "--json") {
			jsonLines(t, c.args[0], stdout)
		}
	}
	after := files(t, above)
	for name, data := range before {
		if after[name] != data {
			t.Errorf("%q was changed", name)
		}
	}
	kinds := map[string]int{}
	for name, data := range after {
		if _, there := before[name]; there {
			continue
		}
		if in, ok := strings.CutPrefix(name, "orchard/results/"); !ok && name != "orchard/boards.pdf" && name != "orchard/tree-cards.pdf" || strings.Contains(in, "..") && !strings.HasPrefix(in, hostileAfter) {
			t.Errorf("%q was written", name)
		}
		kinds[filepath.Ext(name)]++
		switch filepath.Ext(name) {
		case ".html":
			pageStaysOurs(t, filepath.Join(above, filepath.FromSlash(name)), data)
		case ".csv":
			cellsStayWords(t, name, data)
		case ".pdf":
			pdfStaysOurs(t, filepath.Join(above, filepath.FromSlash(name)))
		case ".json", ".geojson":
			if !json.Valid([]byte(data)) {
				t.Errorf("%s is no JSON", name)
			}
		}
	}
	for kind, least := range map[string]int{".html": 4, ".csv": 7, ".json": 6, ".geojson": 2, ".pdf": 4, ".jpg": 6} {
		if kinds[kind] < least {
			t.Errorf("%d files %s were written, want %d at least: %v", kinds[kind], kind, least, kinds)
		}
	}
	if got := sunlitShares(t, dir, hostileBefore); !slices.Equal(got, []string{"row 1 tree 1", "row 1 tree 2"}) {
		t.Errorf("trees with a sunlit share: %v; want that of the hostile name in photos.csv and that of the hostile end of a name", got)
	}
	soundDatabase(t, dir)
	if _, stdout, _ := inProcess(t, "assess", "--visit", hostileBefore, dir); !strings.Contains(stdout, "0 photos measured now") {
		t.Errorf("the database does not know the photos by their names again:\n%s", stdout)
	}
}

func photosBelow(t *testing.T, dir string) []string {
	t.Helper()
	entries, err := os.ReadDir(filepath.Join(dir, orchard.PhotosDir, hostileBefore))
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, e := range entries {
		out = append(out, filepath.Join(dir, orchard.PhotosDir, hostileBefore, e.Name()))
	}
	return out
}

// onTerminal holds what was printed to letters and line breaks: no sign that a
// terminal obeys, no line that a name began.
func onTerminal(t *testing.T, what, said string) {
	t.Helper()
	bad := func(r rune) bool {
		return r != '\n' && (unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r))
	}
	for _, line := range strings.Split(said, "\n") {
		if strings.ContainsFunc(line, bad) || !utf8.ValidString(line) || strings.HasPrefix(line, "rowlight: all is well") {
			t.Errorf("%s prints %q", what, line)
		}
	}
}

func jsonLines(t *testing.T, what, said string) {
	t.Helper()
	for d := json.NewDecoder(strings.NewReader(said)); ; {
		var v any
		if err := d.Decode(&v); errors.Is(err, io.EOF) {
			return
		} else if err != nil {
			t.Errorf("%s --json: %v", what, err)
			return
		}
	}
}

// pageStaysOurs reads a page as well-formed XML, which our templates keep to, so that
// a tag or quote broken by a name shows; and follows its links, which must lead to
// files beside it or places in it.
func pageStaysOurs(t *testing.T, path, page string) {
	t.Helper()
	ours := "html head meta title style body header main footer nav section article figure figcaption div span p a b br ul li dl dt dd h1 h2 h3 h4 " +
		"ol code table caption thead tbody tr th td img svg g path rect circle line text defs pattern script"
	if strings.ContainsFunc(page, func(r rune) bool { return r != '\n' && (unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r)) }) {
		t.Errorf("%s holds control characters", filepath.Base(path))
	}
	d := xml.NewDecoder(strings.NewReader(page))
	d.Entity = xml.HTMLEntity
	scripts := 0
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Errorf("%s is not well formed: %v", filepath.Base(path), err)
			return
		}
		e, ok := tok.(xml.StartElement)
		if !ok {
			continue
		}
		if !slices.Contains(strings.Fields(ours), e.Name.Local) {
			t.Errorf("%s holds <%s>", filepath.Base(path), e.Name.Local)
		}
		if e.Name.Local == "script" {
			scripts++
		}
		for _, a := range e.Attr {
			ourAttribute(t, path, e.Name.Local, a)
		}
	}
	if want := strings.Count(filepath.Base(path), "compare-"); scripts != want {
		t.Errorf("%s holds %d scripts, want %d", filepath.Base(path), scripts, want)
	}
}

func ourAttribute(t *testing.T, path, element string, a xml.Attr) {
	t.Helper()
	if strings.HasPrefix(a.Name.Local, "on") || a.Name.Local == "style" && !strings.HasPrefix(a.Value, "aspect-ratio:") {
		t.Errorf("%s holds <%s %s=%q>", filepath.Base(path), element, a.Name.Local, a.Value)
	}
	if a.Name.Local != "href" && a.Name.Local != "src" || strings.HasPrefix(a.Value, "#") {
		return
	}
	u, err := url.Parse(a.Value)
	if err != nil || !strings.HasPrefix(a.Value, "./") || u.Fragment != "" || u.RawQuery != "" {
		t.Errorf("%s links to %q: %v", filepath.Base(path), a.Value, err)
		return
	}
	if _, err := os.Stat(filepath.Join(filepath.Dir(path), filepath.FromSlash(u.Path))); err != nil {
		t.Errorf("%s links to %q, where nothing is", filepath.Base(path), a.Value)
	}
}

// pdfStaysOurs has another program read a PDF: it is sound, holds no script, and its
// title is words.
func pdfStaysOurs(t *testing.T, path string) {
	t.Helper()
	if _, err := exec.LookPath("pdfinfo"); err != nil {
		t.Log("SKIPPED: pdfinfo is not on this machine (make deps installs it)")
		return
	}
	said, err := exec.Command("pdfinfo", path).CombinedOutput()
	if err != nil || !strings.Contains(string(said), "JavaScript:      no") || strings.Contains(string(said), "Error") {
		t.Errorf("%s: %v: %s", filepath.Base(path), err, said)
	}
	onTerminal(t, "pdfinfo", string(said))
}

// cellsStayWords holds a table to this: no cell but a number begins a formula, none
// breaks its line.
func cellsStayWords(t *testing.T, name, data string) {
	t.Helper()
	rows, err := csv.NewReader(strings.NewReader(data)).ReadAll()
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	for _, row := range rows {
		for i, cell := range row {
			for _, part := range strings.Split(cell, ";") {
				s := strings.TrimSpace(part)
				if number := s != "" && strings.Trim(s, "-.0123456789: ") == ""; !number && s != "" && strings.ContainsRune("=+-@", rune(s[0])) || strings.ContainsFunc(cell, unicode.IsControl) {
					t.Errorf("%s, column %s: %q", name, rows[0][i], cell)
				}
			}
		}
	}
}

// A block's key stands in file names, on cards and in links: an orchard file with
// another than letters and digits is refused by its line, and no file is written.
func TestHostileKeysAreRefused(t *testing.T) {
	for _, key := range []string{`../../x`, `<b>`, `=1`, `a b`, `b1\u0000`, `\u202eb`, `b1;DROP`, `-1`, `@x`, strings.Repeat("k", 300)} {
		dir := t.TempDir()
		text := "name = \"x\"\n[place]\nlatitude_deg = -28\nlongitude_deg = 152.5\ntime_zone = \"Etc/GMT-10\"\n[[blocks]]\nkey = \"" + key +
			"\"\nrows = 1\ntrees_per_row = 1\nrow_spacing_m = 8\ntree_spacing_m = 5\nrow_direction_deg = 0\n"
		if err := os.WriteFile(filepath.Join(dir, orchard.FileName), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		for _, args := range [][]string{{"boards", dir}, {"assess", dir}, {"history", dir}} {
			code, stdout, stderr := inProcess(t, args...)
			if code != exitCannotRun || !strings.Contains(stderr, orchard.FileName+":7: ") {
				t.Errorf("key %q, %s: exit status %d, %s", key, args[0], code, stderr)
			}
			onTerminal(t, args[0], stdout+stderr)
		}
		if left := files(t, dir); len(left) != 1 {
			t.Errorf("key %q: files %v", key, left)
		}
	}
}
