package report

import (
	"bytes"
	"embed"
	"fmt"
	"html/template"
	"io"

	"rowlight/internal/orchard"
)

//go:embed templates
var templates embed.FS

// WriteHTML writes report.html: one page that needs no network and no script,
// for a phone, a desk and paper. Overlays are the only files it refers to.
func WriteHTML(w io.Writer, res *orchard.VisitResult, opt Options) error {
	return writePage(w, newPage(sound(res), opt))
}

func writePage(w io.Writer, p *page) error {
	t, err := template.New("page.tmpl").Funcs(template.FuncMap{
		"percent": func(v float64) string { return trimmed(100*v, 1) },
		"length":  func(v float64) string { return trimmed(v, 2) },
	}).ParseFS(templates, "templates/*.tmpl")
	if err != nil {
		return fmt.Errorf("report: read the page's template: %w", err)
	}
	css, err := templates.ReadFile("templates/report.css")
	if err != nil {
		return fmt.Errorf("report: read the page's style: %w", err)
	}
	// Into memory first: a fault in a template must not leave half a page.
	var b bytes.Buffer
	p.CSS = template.CSS(css)
	if err := t.ExecuteTemplate(&b, "page.tmpl", p); err != nil {
		return fmt.Errorf("report: fill the page: %w", err)
	}
	return WritePage(w, b.Bytes())
}

// WritePage writes a page of ours without what no web page may hold (control
// characters) and what would turn the writing direction of all that follows; line
// breaks stay.
func WritePage(w io.Writer, page []byte) error {
	_, err := w.Write(bytes.Map(visible, page))
	return err
}

func visible(r rune) rune {
	if r != '\n' && unprintable(r) {
		return -1
	}
	return r
}
