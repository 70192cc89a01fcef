package main

import (
	"encoding/csv"
	"encoding/json"
	"encoding/xml"
	"errors"
	"io"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"
)

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
		"ol pre code table caption thead tbody tr th td img svg g path rect circle line text defs pattern script"
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
	// rowlight report writes pictures into the page; only there, and only as pictures.
	if element == "img" && strings.HasPrefix(filepath.Base(path), "report-") && strings.HasPrefix(a.Value, "data:image/jpeg;base64,") {
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
