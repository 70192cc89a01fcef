package report

import (
	"fmt"
	"image"
	_ "image/jpeg" // overlays are JPEG
	_ "image/png"  // or PNG
	"io"
	"os"
	"path/filepath"

	"rowlight/internal/orchard"
	"rowlight/internal/wholefile"
)

// The files of results/<visit>/.
const (
	TreesCSVName  = "trees.csv"
	PhotosCSVName = "photos.csv"
	GeoJSONName   = "trees.geojson"
	JSONName      = "results.json"
	HTMLName      = "report.html"
)

// WriteFolder writes all files of a visit into dir, which is made if it is
// not there, each of them whole or not at all, and takes away what a writer that was
// killed left half done: no two may write at once. report.html comes last, so that
// it never speaks of files that are not there yet. Overlays are looked for
// where the records' Overlay paths say, from dir, unless opt says otherwise.
func WriteFolder(dir string, res *orchard.VisitResult, opt Options) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fmt.Errorf("report: make folder: %w", err)
	}
	if opt.OverlaySize == nil {
		opt.OverlaySize = SizesIn(filepath.Join(dir, filepath.FromSlash(opt.OverlayBase)))
	}
	files := []struct {
		name  string
		write func(io.Writer) error
	}{
		{JSONName, func(w io.Writer) error { return WriteJSON(w, res) }},
		{TreesCSVName, func(w io.Writer) error { return WriteTreesCSV(w, res) }},
		{PhotosCSVName, func(w io.Writer) error { return WritePhotosCSV(w, res) }},
		{GeoJSONName, func(w io.Writer) error { return WriteGeoJSON(w, res) }},
		{HTMLName, func(w io.Writer) error { return WriteHTML(w, res, opt) }},
	}
	for _, f := range files {
		if err := wholefile.Write(filepath.Join(dir, f.name), f.write); err != nil {
			return err
		}
	}
	return nil
}

// SizesIn returns an Options.OverlaySize that reads the heads of the pictures
// below a folder. A path that leads out of the folder is not followed.
func SizesIn(dir string) func(string) (int, int, bool) {
	return func(overlay string) (int, int, bool) {
		rel := filepath.FromSlash(overlay)
		if !filepath.IsLocal(rel) {
			return 0, 0, false
		}
		f, err := os.Open(filepath.Join(dir, rel))
		if err != nil {
			return 0, 0, false
		}
		defer f.Close()
		c, _, err := image.DecodeConfig(f)
		return c.Width, c.Height, err == nil
	}
}
