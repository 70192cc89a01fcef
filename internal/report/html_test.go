package report

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"io"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"rowlight/internal/orchard"
	"rowlight/internal/wholefile"
)

// element is a start tag of the page.
type element struct {
	name string
	attr map[string]string
}

// parse reads the page as well-formed XML, which our templates keep to, so
// that any tag or quote broken by a value shows as an error.
func parse(t *testing.T, page []byte) []element {
	t.Helper()
	d := xml.NewDecoder(bytes.NewReader(page))
	d.Entity = xml.HTMLEntity
	var out []element
	for {
		tok, err := d.Token()
		if errors.Is(err, io.EOF) {
			return out
		}
		if err != nil {
			t.Fatalf("the page is not well formed: %v", err)
		}
		if s, ok := tok.(xml.StartElement); ok {
			e := element{s.Name.Local, map[string]string{}}
			for _, a := range s.Attr {
				e.attr[a.Name.Local] = a.Value
			}
			out = append(out, e)
		}
	}
}

func htmlOf(t *testing.T, res *orchard.VisitResult, opt Options) []byte {
	t.Helper()
	return bytesOf(t, func(w io.Writer) error { return WriteHTML(w, res, opt) })
}

func TestPageIsWholeAndAccessible(t *testing.T) {
	opt := fixtureOptions()
	opt.OverlaySize = func(string) (int, int, bool) { return 1280, 960, true }
	els := parse(t, htmlOf(t, fixture(), opt))
	ids, links := map[string]bool{}, []string{}
	level := 0
	for _, e := range els {
		if id := e.attr["id"]; id != "" {
			if ids[id] {
				t.Errorf("id %q stands twice", id)
			}
			ids[id] = true
		}
		if strings.HasPrefix(e.attr["href"], "#") {
			links = append(links, e.attr["href"][1:])
		}
		checkElement(t, e)
		if len(e.name) == 2 && e.name[0] == 'h' && e.name[1] >= '1' && e.name[1] <= '6' {
			n := int(e.name[1] - '0')
			if n > level+1 {
				t.Errorf("a heading of level %d follows one of level %d", n, level)
			}
			level = n
		}
	}
	for _, l := range links {
		if !ids[l] {
			t.Errorf("a link leads to #%s, which is not there", l)
		}
	}
}

func checkElement(t *testing.T, e element) {
	t.Helper()
	need := map[string][]string{"html": {"lang"}, "th": {"scope"}, "img": {"alt", "width", "height", "loading"}}
	for _, a := range need[e.name] {
		if e.attr[a] == "" {
			t.Errorf("<%s> %v has no %s", e.name, e.attr, a)
		}
	}
	if e.name == "script" || e.name == "link" || e.name == "iframe" {
		t.Errorf("the page has a <%s>", e.name)
	}
	for _, a := range []string{"href", "src"} { // nothing from elsewhere
		if u := e.attr[a]; u != "" && !strings.HasPrefix(u, "#") && !strings.HasPrefix(u, "./") {
			t.Errorf("<%s %s=%q> leads out of the report's folder", e.name, a, u)
		}
	}
}

func TestPageTellsEverything(t *testing.T) {
	res := fixture()
	page := string(htmlOf(t, res, fixtureOptions()))
	last := -1
	for _, id := range []string{"order", "map", "trees", "retake", "care", "meaning"} {
		i := strings.Index(page, `<section id="`+id+`"`)
		if i <= last {
			t.Errorf("section %s is missing or out of order", id)
		}
		last = i
	}
	for _, tr := range res.Trees {
		if strings.Count(page, `id="`+anchor(tr.ID)+`"`) != 1 {
			t.Errorf("%v has no section of its own", tr.ID)
		}
	}
	for _, p := range res.Photos {
		if p.Status != orchard.Measured && (!strings.Contains(page, p.Path) || !strings.Contains(page, p.Reason)) {
			t.Errorf("%s (%s) or its reason is not told", p.Path, p.Status)
		}
	}
	for _, want := range []string{"11 trees measured, 4 photos refused", "3 trees clearly come first", "95 %", "not measured: no usable side photo",
		"chainsaw", "Power lines", "licen", "within 1.5 m of the board", "20° from overhead", "tape", "20 Jan 2026, 17:05 AEST"} {
		if !strings.Contains(strings.ToLower(page), strings.ToLower(want)) {
			t.Errorf("the page does not say %q", want)
		}
	}
}

// hostile is a result whose every word tries to break out.
func hostile() *orchard.VisitResult {
	const bad = `"><script>alert(1)</script><img src=x onerror='x'>&{{.}}` + "\u202e\x1b[31m"
	res := fixture()
	res.Orchard, res.Visit, res.Version, res.Settings = bad, bad, bad, bad
	for i := range res.Trees {
		tr := &res.Trees[i]
		if tr.ID.Block == "b2" {
			tr.ID.Block = bad
		}
		tr.Flags, tr.Photos = []string{bad}, append(tr.Photos, "javascript:alert(1)")
		if tr.Priority != nil {
			tr.Priority.Parts = slices.Clone(tr.Priority.Parts)
			tr.Priority.Parts[0].Name, tr.Priority.Parts[0].Reason = bad, "=HYPERLINK(\"x\")"
		}
		for j := range tr.Measurements {
			tr.Measurements[j].Method, tr.Measurements[j].Flags = bad, []string{bad}
		}
		tr.Measurements = append(tr.Measurements, measured(orchard.Quantity(bad), bad, 1, 0, 2, bad))
	}
	for i := range res.Photos {
		p := &res.Photos[i]
		p.Reason, p.Mend, p.Flags = bad, bad, []string{bad}
		if p.Overlay != "" {
			p.Overlay = []string{"javascript:alert(1)", "../../secret.jpg", "/etc/passwd", "a b/?#%\"<.jpg"}[i%4]
		}
		if p.Tree != nil && p.Tree.Block == "b2" {
			p.Tree = &orchard.TreeID{Block: bad, Row: p.Tree.Row, Tree: p.Tree.Tree}
		}
	}
	return res
}

func TestHostileNamesStayWords(t *testing.T) {
	res, opt := hostile(), fixtureOptions()
	opt.Layout.Blocks[0].Name = res.Orchard
	page := htmlOf(t, res, opt)
	for _, e := range parse(t, page) { // a tag that got through would show here
		if e.name == "script" || e.attr["onerror"] != "" {
			t.Fatalf("a name became <%s %v>", e.name, e.attr)
		}
		for _, a := range []string{"href", "src"} {
			u := e.attr[a]
			if u != "" && !strings.HasPrefix(u, "#") && !strings.HasPrefix(u, "./") || strings.Contains(u, "/..") || strings.Contains(u, "ZgotmplZ") {
				t.Errorf("%s=%q", a, u)
			}
		}
	}
	for name, write := range writers(res, opt) {
		data := bytesOf(t, write)
		if bytes.ContainsRune(data, 0x1b) {
			t.Errorf("%s holds an escape character", name)
		}
	}
	for _, row := range table(t, bytesOf(t, func(w io.Writer) error { return WriteTreesCSV(w, res) })) {
		for name, cell := range row {
			if strings.HasPrefix(cell, "=") || strings.HasPrefix(cell, "@") {
				t.Errorf("%s: %q", name, cell)
			}
		}
	}
	var b strings.Builder
	if err := WriteRanking(&b, res, 80); err != nil || strings.ContainsAny(b.String(), "\x1b\u202e") {
		t.Errorf("the terminal would obey a name: %v", err)
	}
}

// A block's key may be anything; two trees never share an anchor.
func TestAnchorsNeverMeet(t *testing.T) {
	seen := map[string]orchard.TreeID{}
	for _, block := range []string{"a", "a-1", "a.1", "a b", "a-1-1", "ä", ".e4.", ""} {
		for _, row := range []int{1, 11} {
			for _, tree := range []int{1, 11} {
				id := orchard.TreeID{Block: block, Row: row, Tree: tree}
				a := anchor(id)
				if other, ok := seen[a]; ok {
					t.Errorf("%v and %v share %s", other, id, a)
				}
				seen[a] = id
			}
		}
	}
}

// WCAG 2.1, 1.4.3: text against its ground 4.5 to 1; relative luminance and
// contrast ratio as defined there.
func TestMapAndTextHaveContrast(t *testing.T) {
	css, err := templates.ReadFile("templates/report.css")
	if err != nil {
		t.Fatal(err)
	}
	colour := func(pattern string) string {
		m := regexp.MustCompile(pattern).FindSubmatch(css)
		if m == nil {
			t.Fatalf("no %s in the style", pattern)
		}
		return string(m[1])
	}
	ink, white := colour(`--ink: (#[0-9a-f]{6})`), "#ffffff"
	for i := range priorityShades {
		text := ink
		if i >= 3 {
			text = white
		}
		fill := colour(fmt.Sprintf(`\.cell\.p%d rect \{ fill: (#[0-9a-f]{6})`, i))
		if c := contrast(t, text, fill); c < 4.5 {
			t.Errorf("shade %d: %.2f to 1", i, c)
		}
	}
	for _, name := range []string{"ink", "soft", "link", "mark"} {
		for _, ground := range []string{white, colour(`--tint: (#[0-9a-f]{6})`)} {
			if c := contrast(t, colour(`--`+name+`: (#[0-9a-f]{6})`), ground); c < 4.5 {
				t.Errorf("%s on %s: %.2f to 1", name, ground, c)
			}
		}
	}
}

func contrast(t *testing.T, a, b string) float64 {
	t.Helper()
	luminance := func(hex string) float64 {
		l := 0.0
		for i, w := range []float64{0.2126, 0.7152, 0.0722} {
			n, err := strconv.ParseUint(hex[1+2*i:3+2*i], 16, 8)
			if err != nil {
				t.Fatal(err)
			}
			c := float64(n) / 255
			if c <= 0.03928 {
				c /= 12.92
			} else {
				c = math.Pow((c+0.055)/1.055, 2.4)
			}
			l += w * c
		}
		return l
	}
	x, y := luminance(a), luminance(b)
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

func TestOverlaysAreSizedOrSaidToBeGone(t *testing.T) {
	dir := t.TempDir()
	res := fixture()
	var first string
	for _, p := range res.Photos {
		if p.Overlay != "" {
			first = p.Overlay
			break
		}
	}
	if err := os.MkdirAll(filepath.Join(dir, "overlays"), 0o755); err != nil {
		t.Fatal(err)
	}
	err := wholefile.Write(filepath.Join(dir, first), func(w io.Writer) error {
		return jpeg.Encode(w, image.NewGray(image.Rect(0, 0, 64, 48)), nil)
	})
	if err != nil {
		t.Fatal(err)
	}
	if err := WriteFolder(dir, res, fixtureOptions()); err != nil {
		t.Fatal(err)
	}
	page, err := os.ReadFile(filepath.Join(dir, HTMLName))
	if err != nil {
		t.Fatal(err)
	}
	images := 0
	for _, e := range parse(t, page) {
		if e.name == "img" {
			images++
			if e.attr["src"] != "./"+first || e.attr["width"] != "64" || e.attr["height"] != "48" {
				t.Errorf("image %v", e.attr)
			}
		}
	}
	if images != 1 || !bytes.Contains(page, []byte("not there any more")) {
		t.Errorf("%d images shown of the one that is there", images)
	}
}
