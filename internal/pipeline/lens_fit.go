package pipeline

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"rowlight/calibrate"
	"rowlight/internal/orchard"
	"rowlight/vision"
)

// LensPhoto is what became of one photo of a calibration.
type LensPhoto struct {
	Name    string
	Corners int
	// Reason is why it was left out; empty where it was used.
	Reason string
	RMSPx  float64 // of its corners about the fitted lens
}

// LensFit is a lens and what it came from.
type LensFit struct {
	Lens orchard.Lens
	// Model names the distortion terms that the photos could fix.
	Model  calibrate.LensModel
	SD     [9]float64 // one standard deviation: fx fy cx cy k1 k2 p1 p2 k3
	Photos []LensPhoto
	// CornerSDPx is how far off the rays at the picture's corners may be.
	CornerSDPx float64
	// Flags say what would make the calibration better.
	Flags []string
}

const (
	// minLensPhotos: fewer poses leave focal length and distance to each other
	// (common practice asks for 10 to 20).
	minLensPhotos = 6
	// lensOutlier: a photo whose corners lie this many times farther off than the
	// median photo's was blurred, or its board bent.
	lensOutlier = 3.0
	// lensCornerShare of half the picture's longer side is worth a word: the board
	// did not reach into the corners.
	lensCornerShare = 0.01
	// wideFocalRelSD is worth a word: EXIF's own reading is about as good.
	wideFocalRelSD = 0.01
)

// FitLens finds the lens of the camera that took the photos of a folder, of a survey
// board or of a chessboard. Photos of another camera, focal length or size than most
// are left out and said. A print out of scale does no harm: a board twice as large
// and twice as far looks the same.
func FitLens(ctx context.Context, dir string, chess vision.Chessboard) (*LensFit, error) {
	names, err := photoNames(dir)
	if err != nil {
		return nil, err
	}
	var all []lensShot
	fit := &LensFit{}
	for _, name := range names {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		s, err := readLensShot(filepath.Join(dir, name), chess)
		if err != nil {
			fit.Photos = append(fit.Photos, LensPhoto{Name: name, Reason: lensReason(err)})
			continue
		}
		all = append(all, s)
	}
	key, ok := commonest(all)
	if !ok {
		return fit, fmt.Errorf("no board was found in any of %d photos: show the whole board, flat, sharp and evenly lit", len(names))
	}
	var views []calibrate.LensView
	for _, s := range all {
		if s.key != key {
			fit.Photos = append(fit.Photos, LensPhoto{Name: s.view.Name, Reason: "another camera, focal length or picture size than most"})
			continue
		}
		views = append(views, s.view)
	}
	return fit, fit.solve(key, views)
}

// solve fits the lens and notes how well.
func (f *LensFit) solve(key orchard.LensKey, views []calibrate.LensView) error {
	if len(views) < minLensPhotos {
		return fmt.Errorf("%d usable photos of the board, %d needed: take 10 to 20, from the left, right, above and below, into every corner of the picture", len(views), minLensPhotos)
	}
	l, views, err := f.fitModels(key, views)
	if err != nil {
		return err
	}
	f.Lens, f.Model, f.SD, f.CornerSDPx = recordOf(key, l), l.Model, l.SD(), l.CornerSDPx()
	cam := l.Camera()
	for _, v := range views {
		f.Photos = append(f.Photos, LensPhoto{Name: v.Name, Corners: len(v.Pixels), RMSPx: v.RMSPx(cam)})
	}
	slices.SortFunc(f.Photos, func(a, b LensPhoto) int { return strings.Compare(a.Name, b.Name) })
	if rel := f.SD[0] / l.FxPx; rel > wideFocalRelSD {
		f.Flags = append(f.Flags, fmt.Sprintf("the focal length is known to %.1f %% only: tilt the board more, by 30 to 45 degrees, and take more photos", 100*rel))
	}
	if half := 0.5 * float64(max(key.WidthPx, key.HeightPx)); f.CornerSDPx > lensCornerShare*half {
		f.Flags = append(f.Flags, "the picture's corners are known badly: bring the board into them in more photos")
	}
	return nil
}

// fitModels fits the plain lens and goes on to richer ones while each explains the
// corners better than chance would; views that fit badly are left out first.
func (f *LensFit) fitModels(key orchard.LensKey, views []calibrate.LensView) (calibrate.Lens, []calibrate.LensView, error) {
	if l, err := vision.FitLens(key.WidthPx, key.HeightPx, views, calibrate.RadialLens); err == nil {
		if good := f.withoutOutliers(views, l.Camera()); len(good) >= minLensPhotos {
			views = good
		}
	}
	best, err := vision.FitLens(key.WidthPx, key.HeightPx, views, calibrate.PlainLens)
	if err != nil {
		return best, nil, fmt.Errorf("the photos do not fix the lens (%w): take them from more sides", err)
	}
	fitted := slices.Clone(views)
	for _, model := range []calibrate.LensModel{calibrate.RadialLens, calibrate.FullLens} {
		l, err := vision.FitLens(key.WidthPx, key.HeightPx, views, model)
		if err != nil || !betterThanChance(best, l) {
			break
		}
		best, fitted = l, slices.Clone(views)
	}
	return best, fitted, nil
}

// betterThanChance compares two lenses' squares left over, in units of the corners'
// scatter: a drop that two or three terms without meaning give once in a thousand
// times (chi square table, 3 degrees).
func betterThanChance(plain, rich calibrate.Lens) bool {
	const once = 16.27
	n := float64(2 * rich.Corners)
	free := n - float64(6*rich.Views+9)
	return free > 0 && n/2*(plain.RMSPx*plain.RMSPx-rich.RMSPx*rich.RMSPx)/(n/2*rich.RMSPx*rich.RMSPx/free) > once
}

// withoutOutliers leaves out views whose corners lie far farther off than most.
func (f *LensFit) withoutOutliers(views []calibrate.LensView, cam calibrate.Camera) []calibrate.LensView {
	var rms []float64
	for i := range views {
		rms = append(rms, views[i].RMSPx(cam))
	}
	sorted := slices.Clone(rms)
	slices.Sort(sorted)
	limit := lensOutlier * sorted[len(sorted)/2]
	var good []calibrate.LensView
	for i, v := range views {
		if rms[i] > limit {
			f.Photos = append(f.Photos, LensPhoto{Name: v.Name, Corners: len(v.Pixels), RMSPx: rms[i], Reason: "its corners lie off a flat board: blurred, or the board is bent"})
			continue
		}
		good = append(good, v)
	}
	return good
}

type lensShot struct {
	key  orchard.LensKey
	view calibrate.LensView
}

// readLensShot finds the board's corners in one photo, in the pixels it was stored
// with.
func readLensShot(path string, chess vision.Chessboard) (shot lensShot, err error) {
	defer guard(&err)
	data, err := readPhoto(path)
	if err != nil {
		return lensShot{}, err
	}
	p, err := vision.Decode(data)
	if err != nil {
		return lensShot{}, err
	}
	view, err := boardView(p, chess)
	if err != nil {
		return lensShot{}, err
	}
	s := lensShot{key: lensKey(p), view: view}
	s.view.Name = filepath.Base(path)
	for i, px := range view.Pixels {
		s.view.Pixels[i] = calibrate.Stored(px, p.Meta.Orientation, s.key.WidthPx, s.key.HeightPx)
	}
	return s, nil
}

var errNoBoard = errors.New("no board found")

// boardView looks for a chessboard where one was named, else for a survey board.
func boardView(p *vision.Photo, chess vision.Chessboard) (calibrate.LensView, error) {
	if chess.Cols > 0 {
		v, ok, err := vision.ChessCorners(p, chess)
		if err == nil && !ok {
			err = errNoBoard
		}
		return v, err
	}
	var v calibrate.LensView
	seen, err := vision.Markers(p)
	if err != nil {
		return v, err
	}
	boards, err := vision.GroupBoards(seen)
	if err != nil {
		return v, err
	}
	for _, markers := range boards { // the board that shows the most
		if len(markers)*4 <= len(v.Pixels) || len(markers) < calibrate.MarkersPerBoard {
			continue
		}
		v = calibrate.LensView{}
		for _, m := range markers {
			corners, _ := calibrate.MarkerCorners(m.ID)
			for i, c := range corners {
				v.Board, v.Pixels = append(v.Board, c), append(v.Pixels, m.Corners[i])
			}
		}
	}
	if len(v.Pixels) == 0 {
		return v, errNoBoard
	}
	return v, nil
}

func lensReason(err error) string {
	var fe *vision.FileError
	if errors.As(err, &fe) {
		return fe.Reason
	}
	return err.Error()
}

// commonest returns the key that most shots share; of equals the first.
func commonest(shots []lensShot) (orchard.LensKey, bool) {
	count := map[orchard.LensKey]int{}
	var best orchard.LensKey
	for _, s := range shots {
		count[s.key]++
	}
	most := 0
	for _, s := range shots {
		if n := count[s.key]; n > most {
			best, most = s.key, n
		}
	}
	return best, most > 0
}

// photoNames lists a folder's photos by name.
func photoNames(dir string) ([]string, error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil, err
	}
	var names []string
	for _, e := range entries {
		switch strings.ToLower(filepath.Ext(e.Name())) {
		case ".jpg", ".jpeg", ".png", ".tif", ".tiff", ".webp":
			if !e.IsDir() {
				names = append(names, e.Name())
			}
		}
	}
	if len(names) == 0 {
		return nil, fmt.Errorf("%s: there is no photo in it", dir)
	}
	return names, nil
}
