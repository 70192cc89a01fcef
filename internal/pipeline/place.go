package pipeline

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"rowlight/calibrate"
	"rowlight/internal/orchard"
	"rowlight/vision"
)

// lookSettings marks the records of a first look: card, board and camera of a
// photo whose name does not place it. They hang on the photo alone.
const lookSettings = "look"

// flatBoardM: a board nearer than this lies on the ground under a photographer
// who stands over it; an upright board so near would hide the tree.
const flatBoardM = 2.5

// place finds the tree and the kind of every photo of the visit. Only photos
// that photos.csv and their names leave open are looked at for a tree card.
func (r *runner) place(ctx context.Context, scan *orchard.Scan) ([]orchard.Placement, error) {
	o := r.opt.Orchard
	rows, problems, err := orchard.LoadPhotosCSV(r.opt.Dir, o)
	if err != nil {
		return nil, err
	}
	r.warn(problems)
	seen := make([]orchard.Seen, len(scan.Photos))
	for i, p := range scan.Photos {
		seen[i] = orchard.Seen{Path: p, Visit: scan.Visit}
	}
	first, _ := o.PlacePhotos(seen, rows)
	var open []int
	for i, p := range first {
		if p.Status == orchard.Unplaced {
			open = append(open, i)
		}
	}
	looked := make([]*orchard.Record, len(open))
	err = r.each(ctx, len(open), func(ctx context.Context, k int) error {
		var err error
		looked[k], err = r.look(ctx, seen[open[k]])
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("stopped while looking for tree cards: %w", err)
	}
	for k, rec := range looked {
		if !rec.GaveUp {
			seen[open[k]] = seenOf(seen[open[k]], rec)
		}
	}
	placed, unused := o.PlacePhotos(seen, rows)
	for k, rec := range looked {
		if p := &placed[open[k]]; rec.GaveUp { // it would only bring down another worker
			p.Status, p.Reason, p.Mend = rec.Status, rec.Reason, rec.Mend
		}
	}
	for _, row := range unused {
		r.warnings = append(r.warnings, orchard.Problem{
			File: orchard.PhotosFile, Line: row.Line, What: fmt.Sprintf("no photo %q in this visit", row.Photo),
			Mend: "correct the name, or remove the line",
		}.Error())
	}
	return placed, nil
}

// look opens a photo for what tells where it belongs. What it finds is kept.
func (r *runner) look(ctx context.Context, s orchard.Seen) (*orchard.Record, error) {
	rec := orchard.Record{Path: s.Path, Visit: s.Visit, Settings: lookSettings, Version: r.version()}
	data, err := r.read(s.Path)
	if err != nil {
		return &rec, nil // measuring says what is wrong with the file
	}
	defer r.rooms.Keep(data)
	rec.SHA256 = hashOf(data)
	if old, ok, err := r.kept(ctx, &rec); err != nil || ok {
		return &old, err
	}
	if _, err := r.ask(ctx, askLook, &rec, data); err != nil {
		return nil, err
	}
	return &rec, r.keep(ctx, &rec)
}

func seenOf(s orchard.Seen, rec *orchard.Record) orchard.Seen {
	s.TakenAt, s.Camera, s.CardTree, s.CardProblem = rec.TakenAt, rec.Camera, rec.CardTree, rec.Reason
	s.Boards, s.KindHint = rec.Boards, rec.Kind
	return s
}

// lookInto fills card, boards, time and the kind the board hints at. A photo
// that cannot be decoded leaves them empty.
func lookInto(rec *orchard.Record, data []byte) {
	var fault error // measuring the photo meets it again, and says so
	defer guard(&fault)
	photo, err := vision.Decode(data)
	if err != nil {
		return
	}
	rec.TakenAt, rec.Camera = photo.Meta.TakenAt, cameraName(photo.Meta)
	if texts, err := vision.Cards(photo); err == nil && len(texts) > 0 {
		rec.CardTree, rec.Reason = readCards(texts)
	}
	seen, err := vision.Markers(photo)
	if err != nil {
		return
	}
	boards, err := vision.GroupBoards(seen)
	if err != nil {
		return
	}
	cam := calibrate.PriorCamera(photo.FullW, photo.FullH, photo.Meta.F35())
	for n, markers := range boards {
		rec.Boards = append(rec.Boards, n)
		pose, err := calibrate.SolveBoard(cam, markers, calibrate.PoseOptions{})
		if err == nil && pose.ToCamera(calibrate.SheetCentre()).Norm() < flatBoardM {
			rec.Kind = orchard.Floor
		}
	}
	slices.Sort(rec.Boards)
}

// readCards reads the tree of the card seen; why says what is wrong with it.
func readCards(texts []string) (tree *orchard.TreeID, why string) {
	for _, text := range texts {
		id, err := orchard.ParseCard(text)
		switch {
		case errors.Is(err, orchard.ErrNoCard): // some other code in the picture
		case err != nil:
			why = err.Error()
		case tree != nil && *tree != id:
			return nil, "two tree cards in one photo"
		default:
			tree = &id
		}
	}
	if tree != nil {
		why = ""
	}
	return tree, why
}
