package pipeline

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"path"
	"strings"
	"unicode/utf8"

	"rowlight/internal/orchard"
)

// OverlayDir holds the drawn photos, within results/<visit>/.
const OverlayDir = "overlays"

// one brings a photo to its record: kept from before where nothing changed,
// measured otherwise. The error is for what stops the run.
func (r *runner) one(ctx context.Context, p orchard.Placement) (orchard.Record, bool, error) {
	rec := orchard.Record{
		Path: p.Path, Visit: r.opt.Visit, Tree: p.Tree, Kind: p.Kind, PlacedBy: p.PlacedBy,
		AlleySide: p.AlleySide, Flags: p.Flags, Settings: r.opt.Orchard.ShotHash(p.Tree, p.Kind), Version: r.version(),
	}
	data, err := r.read(p.Path)
	if err != nil {
		rec.Status, rec.Reason, rec.Mend = orchard.Failed, readReason(err), readMend
		return rec, false, nil
	}
	defer r.rooms.Keep(data)
	rec.SHA256 = hashOf(data)
	if old, ok, err := r.kept(ctx, &rec); err != nil || ok && samePlace(&old, &rec) && sameEnd(&old, p) {
		return old, ok, err
	}
	if p.Status != "" {
		rec = unmeasured(rec, p)
	} else if err := r.measured(ctx, &rec, askPhoto, data); err != nil {
		return rec, false, err
	}
	return rec, false, r.keep(ctx, &rec)
}

func samePlace(a, b *orchard.Record) bool {
	same := a.Kind == b.Kind && a.AlleySide == b.AlleySide && a.PlacedBy == b.PlacedBy && (a.Tree == nil) == (b.Tree == nil)
	return same && (a.Tree == nil || *a.Tree == *b.Tree)
}

// sameEnd tells whether a photo that is not measured is left out for the same reason as
// before: a card before it may have been found since, or lost.
func sameEnd(old *orchard.Record, p orchard.Placement) bool {
	return p.Status == "" || old.Status == p.Status && old.Reason == p.Reason
}

// unmeasured is the record of a card, of a photo that belongs to no tree, or of one that
// was given up as it was looked at.
func unmeasured(rec orchard.Record, p orchard.Placement) orchard.Record {
	rec.Status, rec.Reason, rec.Mend, rec.GaveUp = p.Status, p.Reason, p.Mend, p.Status == orchard.Failed
	if p.Status == orchard.Card {
		rec.CardTree, rec.Tree = p.Tree, nil
	}
	return rec
}

// measured fills a record from the bytes of its photo, or of its two, and writes the
// drawn copy.
func (r *runner) measured(ctx context.Context, rec *orchard.Record, about subject, photos ...[]byte) error {
	drawn, err := r.ask(ctx, about, rec, photos...)
	if err != nil {
		return err
	}
	if doubt := clockDoubt(rec); doubt != "" && rec.Pair == nil {
		rec.Flags = append(rec.Flags, doubt)
	}
	nameSources(rec)
	if len(drawn) == 0 {
		return nil
	}
	rec.Overlay = path.Join(OverlayDir, overlayName(*rec))
	return r.saveOverlay(rec.Overlay, drawn)
}

// nameSources says of each number which photos it is from.
func nameSources(rec *orchard.Record) {
	from := rec.Pair
	if from == nil {
		from = []string{rec.Path}
	}
	for i := range rec.Measurements {
		rec.Measurements[i].Photos = from
	}
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
