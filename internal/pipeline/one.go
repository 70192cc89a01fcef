package pipeline

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"
	"unicode/utf8"

	"rowlight/internal/orchard"
	"rowlight/internal/overlay"
)

// OverlayDir holds the drawn photos, within results/<visit>/.
const OverlayDir = "overlays"

// maxFileBytes: a 100-megapixel JPEG at the best quality stays below; larger
// files are no photos and are not read into memory.
const maxFileBytes = 200 << 20

// one brings a photo to its record: kept from before where nothing changed,
// measured otherwise. The error is for what stops the run.
func (r *runner) one(ctx context.Context, p orchard.Placement) (orchard.Record, bool, error) {
	rec := orchard.Record{
		Path: p.Path, Visit: r.opt.Visit, Tree: p.Tree, Kind: p.Kind, PlacedBy: p.PlacedBy,
		AlleySide: p.AlleySide, Flags: p.Flags, Settings: r.opt.Orchard.ShotHash(p.Tree, p.Kind), Version: r.opt.Version,
	}
	data, err := readPhoto(filepath.Join(r.opt.Dir, filepath.FromSlash(p.Path)))
	if err != nil {
		rec.Status, rec.Reason, rec.Mend = orchard.Failed, readReason(err), readMend
		return rec, false, nil
	}
	sum := sha256.Sum256(data)
	rec.SHA256 = hex.EncodeToString(sum[:])
	kept, ok, err := r.db.Get(ctx, rec.Path, rec.SHA256, rec.Settings, rec.Version)
	if err != nil {
		return rec, false, err
	}
	if ok && r.overlayThere(kept.Overlay) && samePlace(kept, &rec) {
		return *kept, true, nil
	}
	if p.Status != "" {
		rec = unmeasured(rec, p)
	} else if rec, err = r.measured(rec, data); err != nil {
		return rec, false, err
	}
	return rec, false, r.db.Put(ctx, &rec)
}

func samePlace(a, b *orchard.Record) bool {
	same := a.Kind == b.Kind && a.AlleySide == b.AlleySide && a.PlacedBy == b.PlacedBy && (a.Tree == nil) == (b.Tree == nil)
	return same && (a.Tree == nil || *a.Tree == *b.Tree)
}

// unmeasured is the record of a card, or of a photo that belongs to no tree.
func unmeasured(rec orchard.Record, p orchard.Placement) orchard.Record {
	rec.Status, rec.Reason, rec.Mend = p.Status, p.Reason, p.Mend
	if p.Status == orchard.Card {
		rec.CardTree, rec.Tree = p.Tree, nil
	}
	return rec
}

// env is what is known of every photo of a tree.
func (r *runner) env(tree *orchard.TreeID) Env {
	o := r.opt.Orchard
	return Env{Set: settingsFor(o, tree), Zone: o.Place.Zone, Place: &Place{o.Place.LatDeg, o.Place.LonDeg}, Lenses: o.Lenses}
}

func (r *runner) measured(rec orchard.Record, data []byte) (orchard.Record, error) {
	out := Measure(data, rec.Kind, r.env(rec.Tree))
	rec.TakenAt, rec.LatDeg, rec.LonDeg, rec.Boards = out.TakenAt, out.LatDeg, out.LonDeg, out.Boards
	rec.Status, rec.Reason, rec.Mend = out.Status, out.Reason, out.Mend
	rec.Measurements, rec.Flags, rec.Camera = out.Measurements, append(rec.Flags, out.Flags...), out.Camera
	if doubt := clockDoubt(&rec); doubt != "" {
		rec.Flags = append(rec.Flags, doubt)
	}
	for i := range rec.Measurements {
		rec.Measurements[i].Photos = []string{rec.Path}
	}
	if out.Overlay == nil {
		return rec, nil
	}
	rec.Overlay = path.Join(OverlayDir, overlayName(rec))
	return rec, r.saveOverlay(rec.Overlay, out.Overlay)
}

// overlayName is the photo's own name and a piece of its hash, so that two
// photos never share one.
func overlayName(rec orchard.Record) string {
	const hashChars, maxStemBytes = 10, 160 // file systems take 255 bytes a name
	stem := strings.TrimSuffix(path.Base(rec.Path), path.Ext(rec.Path))
	for len(stem) > maxStemBytes {
		_, last := utf8.DecodeLastRuneInString(stem)
		stem = stem[:len(stem)-last]
	}
	sum := sha256.Sum256([]byte(rec.Path + "\n" + rec.SHA256))
	return fmt.Sprintf("%s.%s.jpg", stem, hex.EncodeToString(sum[:])[:hashChars])
}

func (r *runner) resultsPath(name string) string {
	return filepath.Join(r.opt.Dir, ResultsDir, r.opt.Visit, filepath.FromSlash(name))
}

func (r *runner) overlayThere(name string) bool {
	if name == "" {
		return true
	}
	_, err := os.Stat(r.resultsPath(name))
	return err == nil
}

// saveOverlay writes whole or not at all. A lost overlay is drawn again, so it
// is not forced to disk.
func (r *runner) saveOverlay(name string, c *overlay.Canvas) error {
	target := r.resultsPath(name)
	if err := os.MkdirAll(filepath.Dir(target), 0o755); err != nil {
		return fmt.Errorf("pipeline: make overlay folder: %w", err)
	}
	f, err := os.CreateTemp(filepath.Dir(target), ".overlay-*")
	if err != nil {
		return fmt.Errorf("pipeline: write overlay: %w", err)
	}
	defer os.Remove(f.Name())
	err = errors.Join(c.Encode(f), f.Chmod(0o644), f.Close())
	if err == nil {
		err = os.Rename(f.Name(), target)
	}
	if err != nil {
		return fmt.Errorf("pipeline: write overlay: %w", err)
	}
	return nil
}

const readMend = "check that the photo is there, is no larger than 200 MB and that you may read it"

func readPhoto(name string) ([]byte, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, maxFileBytes+1))
	if err == nil && len(data) > maxFileBytes {
		err = fmt.Errorf("over %d MB", maxFileBytes>>20)
	}
	return data, err
}

// readReason is the cause without the path, which the record names already.
func readReason(err error) string {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		err = pe.Err
	}
	return fmt.Sprintf("the file cannot be read (%v)", err)
}
