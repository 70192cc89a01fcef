package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"github.com/urfave/cli/v2"

	"rowlight/internal/orchard"
	"rowlight/internal/pipeline"
	"rowlight/vision"
)

func lensCommand() *cli.Command {
	return &cli.Command{
		Name:      "lens",
		Usage:     "measure a camera's lens from photos of a board, for narrower intervals",
		ArgsUsage: "FOLDER",
		Description: "FOLDER holds 10 to 20 photos of one survey board (or a chessboard, named by --corners) on a flat, firm\n" +
			"backing, taken with the camera of the survey at the same zoom: from the left, right, above and below,\n" +
			"tilted by 30 to 45 degrees, and into every corner of the picture. The lens is kept in lenses.json of the\n" +
			"orchard folder that FOLDER lies in, or that --orchard names, and serves every photo of that camera, focal\n" +
			"length and picture size; the next assess measures them anew.\n\n" +
			"Example:\n   rowlight lens my-orchard/lens\n   rowlight lens --corners 9x6 --square 25 --orchard my-orchard photos",
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "corners", Usage: "inner corners of a chessboard, across x down: 9x6; a survey board where not given"},
			&cli.Float64Flag{Name: "square", Value: 25, Usage: "side of a chessboard's square in millimetres"},
			&cli.StringFlag{Name: "orchard", Usage: "orchard folder to keep the lens in"},
		},
		OnUsageError: onUsageError,
		Action:       measureLens,
	}
}

func measureLens(c *cli.Context) error {
	dir, err := oneFolder(c)
	if err != nil {
		return err
	}
	chess, err := parseCorners(c.String("corners"), c.Float64("square"))
	if err != nil {
		return usageError{err}
	}
	home, err := lensHome(dir, c.String("orchard"))
	if err != nil {
		return err
	}
	fit, err := pipeline.FitLens(c.Context, dir, chess)
	if fit != nil {
		printLensPhotos(c.App.ErrWriter, fit)
	}
	if err != nil {
		return err
	}
	if err := printLens(c.App.Writer, fit); err != nil {
		return err
	}
	return keepLens(c, home, fit)
}

// parseCorners reads "9x6"; nothing gives no chessboard.
func parseCorners(s string, squareMM float64) (vision.Chessboard, error) {
	var b vision.Chessboard
	if s == "" {
		return b, nil
	}
	const most = 100 // corners a side: OpenCV's search is slow beyond
	if n, err := fmt.Sscanf(s, "%dx%d", &b.Cols, &b.Rows); err != nil || n != 2 || b.Cols < 3 || b.Rows < 3 || b.Cols > most || b.Rows > most {
		return b, fmt.Errorf("--corners %q: count the inner corners, as 9x6", s)
	}
	if !(squareMM > 0 && squareMM < 1000) {
		return b, fmt.Errorf("--square %g: give the side of a square in millimetres", squareMM)
	}
	b.SquareM = squareMM / 1000
	return b, nil
}

// lensHome is the orchard folder to keep the lens in: the one named, or the nearest
// one that the photos lie in; empty for none.
func lensHome(photos, named string) (string, error) {
	if named != "" {
		_, err := orchard.Load(named)
		return named, err
	}
	dir, err := filepath.Abs(photos)
	if err != nil {
		return "", err
	}
	for {
		_, err := os.Stat(filepath.Join(dir, orchard.FileName))
		if err == nil {
			return dir, nil
		}
		if !errors.Is(err, fs.ErrNotExist) {
			return "", err
		}
		up := filepath.Dir(dir)
		if up == dir {
			return "", nil
		}
		dir = up
	}
}

func printLensPhotos(w io.Writer, fit *pipeline.LensFit) {
	for _, p := range fit.Photos {
		if p.Reason != "" {
			fmt.Fprintln(w, badLine(p.Name, "left out: "+p.Reason, ""))
			continue
		}
		fmt.Fprintf(w, "%s: %d corners, %.2f px off\n", orchard.OneLine(p.Name), p.Corners, p.RMSPx)
	}
}

func printLens(w io.Writer, fit *pipeline.LensFit) error {
	l := fit.Lens
	fmt.Fprintf(w, "%d photos, %.5f px rms\n", l.Photos, l.RMSPx)
	for i, v := range []struct {
		name, unit string
		value      float64
	}{{"fx", " px", l.FxPx}, {"fy", " px", l.FyPx}, {"cx", " px", l.CxPx}, {"cy", " px", l.CyPx},
		{"k1", "", l.K1}, {"k2", "", l.K2}, {"p1", "", l.P1}, {"p2", "", l.P2}, {"k3", "", l.K3}} {
		if fit.SD[i] == 0 {
			fmt.Fprintf(w, "%s  none assumed\n", v.name)
			continue
		}
		digits := 5
		if v.unit != "" {
			digits = 2
		}
		fmt.Fprintf(w, "%s %10.*f%s, give or take %.*f\n", v.name, digits, v.value, v.unit, digits, 1.96*fit.SD[i])
	}
	_, err := fmt.Fprintf(w, "a ray at the picture's corner is good to %.1f px\n", 1.96*fit.CornerSDPx)
	for _, f := range fit.Flags {
		fmt.Fprintln(w, f)
	}
	return err
}

func keepLens(c *cli.Context, home string, fit *pipeline.LensFit) error {
	w := c.App.Writer
	if fit.Lens.Camera == "" {
		_, err := fmt.Fprintln(w, "not kept: the photos do not say which camera took them, so no later photo could be told to be its own")
		return err
	}
	if home == "" {
		_, err := fmt.Fprintln(w, "not kept: the photos lie in no orchard folder; name one with --orchard")
		return err
	}
	if err := orchard.KeepLens(home, fit.Lens); err != nil {
		return err
	}
	_, err := fmt.Fprintf(w, "kept for %s, %d x %d px, in %s\n", fit.Lens.Camera, fit.Lens.WidthPx, fit.Lens.HeightPx, filepath.Join(home, orchard.LensFile))
	return err
}
