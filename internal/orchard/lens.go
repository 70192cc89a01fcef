package orchard

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"slices"

	"rowlight/internal/wholefile"
)

// LensFile is where calibrated lenses are kept, within the orchard folder.
const LensFile = "lenses.json"

// LensKey tells lenses apart: a camera at one focal length and picture size. Zoomed
// or cropped pictures are another lens.
type LensKey struct {
	Camera    string  `json:"camera"`     // make and model as the file has them
	Focal35MM float64 `json:"focal_35mm"` // 35 mm equivalent; 0 where the file has none
	FocalMM   float64 `json:"focal_mm"`   // 0 where the file has none
	WidthPx   int     `json:"width_px"`   // as stored, before turning by EXIF
	HeightPx  int     `json:"height_px"`
}

// Lens is what board photos showed of a lens, in the pixels of the picture as stored.
// Distortion is OpenCV's: k1, k2, p1, p2, k3.
type Lens struct {
	LensKey
	FxPx float64 `json:"fx_px"`
	FyPx float64 `json:"fy_px"`
	CxPx float64 `json:"cx_px"`
	CyPx float64 `json:"cy_px"`
	K1   float64 `json:"k1"`
	K2   float64 `json:"k2"`
	P1   float64 `json:"p1"`
	P2   float64 `json:"p2"`
	K3   float64 `json:"k3"`
	// Cov is the covariance of the nine numbers above, in their order.
	Cov    [9][9]float64 `json:"covariance"`
	RMSPx  float64       `json:"rms_px"`
	Photos int           `json:"photos"`
}

type lensFile struct {
	Note   string `json:"note"`
	Lenses []Lens `json:"lenses"`
}

const lensNote = "lenses measured by rowlight lens; delete an entry to go back to the focal length in the photos"

// LoadLenses reads the lenses of an orchard folder; none where there is no file.
func LoadLenses(dir string) ([]Lens, error) {
	data, err := os.ReadFile(filepath.Join(dir, LensFile))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("orchard: read %s: %w", LensFile, err)
	}
	return parseLenses(data)
}

// parseLenses reads the text of a lens file. What is wrong with it comes as a Problem.
func parseLenses(data []byte) ([]Lens, error) {
	var f lensFile
	if err := json.Unmarshal(data, &f); err != nil {
		return nil, Problem{File: LensFile, Line: jsonLine(data, err), What: fmt.Sprintf("cannot be read (%v)", err),
			Mend: "put it right, or delete it and run rowlight lens again"}
	}
	for i := range f.Lenses {
		if err := f.Lenses[i].check(); err != nil {
			return nil, Problem{File: LensFile, What: fmt.Sprintf("lens %d: %v", i+1, err), Mend: "delete it and run rowlight lens again"}
		}
	}
	return f.Lenses, nil
}

// jsonLine is the line at which JSON could not be read on.
func jsonLine(data []byte, err error) int {
	var syntax *json.SyntaxError
	var kind *json.UnmarshalTypeError
	at := int64(0)
	switch {
	case errors.As(err, &syntax):
		at = syntax.Offset
	case errors.As(err, &kind):
		at = kind.Offset
	}
	return 1 + bytes.Count(data[:min(max(at-1, 0), int64(len(data)))], []byte("\n"))
}

// check refuses what no camera has: a lens file may have been edited by hand.
func (l *Lens) check() error {
	const maxCoefficient = 10
	if l.WidthPx <= 0 || l.HeightPx <= 0 {
		return fmt.Errorf("picture of %d x %d pixels", l.WidthPx, l.HeightPx)
	}
	long := float64(max(l.WidthPx, l.HeightPx))
	for _, f := range []float64{l.FxPx, l.FyPx} {
		if !(f > 0.1*long && f < 20*long) {
			return fmt.Errorf("focal length of %g px for a picture of %g", f, long)
		}
	}
	if !(l.CxPx > 0 && l.CyPx > 0 && l.CxPx < float64(l.WidthPx) && l.CyPx < float64(l.HeightPx)) {
		return fmt.Errorf("middle at %g, %g px lies outside the picture", l.CxPx, l.CyPx)
	}
	for _, k := range []float64{l.K1, l.K2, l.P1, l.P2, l.K3} {
		if !(math.Abs(k) < maxCoefficient) {
			return fmt.Errorf("distortion of %g", k)
		}
	}
	return l.checkCovariance()
}

// checkCovariance refuses what is no covariance: a variance below 0, or two numbers
// tied more closely than their variances allow, rounding let by.
func (l *Lens) checkCovariance() error {
	const slack = 1e-6
	for i := range l.Cov {
		for j := range l.Cov {
			v, w := l.Cov[i][i], l.Cov[j][j]
			if !(v >= 0) || !(math.Abs(l.Cov[i][j]) <= (1+slack)*math.Sqrt(v)*math.Sqrt(w)) {
				return fmt.Errorf("covariance of %g with variances of %g and %g", l.Cov[i][j], v, w)
			}
		}
	}
	return nil
}

// KeepLens puts a lens into an orchard folder's file, in place of an earlier one of
// the same key. One that could not be read back is refused.
func KeepLens(dir string, l Lens) error {
	if err := l.check(); err != nil {
		return fmt.Errorf("orchard: keep lens: %w: take other photos of the board", err)
	}
	lenses, err := LoadLenses(dir)
	if err != nil {
		return err
	}
	lenses = slices.DeleteFunc(lenses, func(old Lens) bool { return old.LensKey == l.LensKey })
	data, err := lensText(append(lenses, l))
	if err != nil {
		return fmt.Errorf("orchard: write %s: %w", LensFile, err)
	}
	return wholefile.Write(filepath.Join(dir, LensFile), func(w io.Writer) error {
		_, err := w.Write(data)
		return err
	})
}

// lensText is the text of a lens file.
func lensText(lenses []Lens) ([]byte, error) {
	data, err := json.MarshalIndent(lensFile{lensNote, lenses}, "", "  ")
	return append(data, '\n'), err
}
