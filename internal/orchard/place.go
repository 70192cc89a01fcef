package orchard

import (
	"cmp"
	"fmt"
	"path"
	"slices"
	"time"
)

// Seen is what is known of a photo before it is placed.
type Seen struct {
	Path    string     // within the orchard folder, slashes
	Visit   string     // the folder within photos/ it lies in
	TakenAt *time.Time // nil where the file has no capture time
	// Camera tells cameras of one visit apart (make, model, serial number: anything
	// that stays the same); "" where the file does not say.
	Camera string
	// CardTree is the tree whose card shows in the photo; CardProblem why a card
	// that shows names none (ParseCard's error, two cards at once).
	CardTree    *TreeID
	CardProblem string
	// Boards are the numbers of the survey boards that show: with one, it is no mere
	// photo of a card.
	Boards []int
	// KindHint is what the board tells of the kind by lying flat; "" for nothing.
	KindHint Kind
}

// What a photo was placed by, for Record.PlacedBy.
const (
	BySheet = "photos.csv"
	ByName  = "file name"
	ByCard  = "tree card"
)

// Placement is where a photo belongs. Tree and Kind are set where Status is "";
// Card is a photo of a card alone, with its Tree; Unplaced says why and what to
// do.
type Placement struct {
	Path     string
	Status   Status // "", Card or Unplaced
	Tree     *TreeID
	Kind     Kind
	PlacedBy string // BySheet, ByName, ByCard
	// AlleySide is the side of the row an alley photo is of, or a side photo was taken
	// from, as its name or row says: "left", "right" or "".
	AlleySide string
	Reason    string
	Mend      string
	Flags     []string // short sentences in a grower's words
}

// PlacePhotos finds the tree and kind of each photo, in this order: a row of photos.csv;
// its name (b1-r03-t11-floor-2.jpg); a tree card seen in it, or in the last photo
// of a card before it by the same camera in the same folder, at most
// Cards.MaxGap earlier. A kind that row, name and card leave open comes from a
// word of the name (floor, side, alley), else from the board. Nothing is dropped:
// one placement a photo, in the order given, and the rows of photos.csv that meant
// none of these photos. Rows that name another visit's folder are not among them.
func (o *Orchard) PlacePhotos(photos []Seen, rows []Assignment) (placements []Placement, unused []Assignment) {
	photos = slices.Clone(photos)
	for i := range photos {
		photos[i] = o.withBoardKind(withNamedCard(photos[i]))
	}
	sheet := newSheetIndex(photos, rows)
	cards := lastCards(photos)
	placements = make([]Placement, len(photos))
	for i, s := range photos {
		p := &placements[i]
		p.Path = s.Path
		if sheet.place(p, s) || o.placeByName(p, s) {
			o.compareCard(p, s)
			continue
		}
		o.placeByCard(p, s, cards[i])
	}
	return placements, sheet.unused(rows)
}

func (p *Placement) unplaced(reason, mend string) {
	p.Status, p.Tree, p.Kind, p.Reason, p.Mend = Unplaced, nil, "", reason, mend
}

// at places a photo at a tree; kind "" is taken from the name's word or the board.
func (p *Placement) at(t TreeID, kind Kind, by string, s Seen) {
	p.PlacedBy = by
	if kind == "" {
		kind = cmp.Or(kindWord(path.Base(s.Path)), s.KindHint)
	}
	if kind == "" {
		p.unplaced(fmt.Sprintf("it shows %s, but neither its name nor its board says whether it is floor, side, alley or up", t.Words()),
			fmt.Sprintf("name it as %s-side%s, or give its kind in %s; or keep boards for side and alley (side_boards, alley_boards in %s)", t, path.Ext(s.Path), PhotosFile, FileName))
		return
	}
	p.Tree, p.Kind = &t, kind
	switch kind {
	case Alley:
		p.AlleySide = sideWord(path.Base(s.Path))
	case Side:
		p.AlleySide = fromWord(path.Base(s.Path))
	}
}

// withBoardKind takes the kind of a photo whose board stands upright from the boards
// kept for one kind of shot.
func (o *Orchard) withBoardKind(s Seen) Seen {
	if s.KindHint != "" {
		return s
	}
	kept := func(numbers []int) bool {
		return slices.ContainsFunc(s.Boards, func(n int) bool { return slices.Contains(numbers, n) })
	}
	switch side, alley := kept(o.Cards.SideBoards), kept(o.Cards.AlleyBoards); {
	case side && !alley:
		s.KindHint = Side
	case alley && !side:
		s.KindHint = Alley
	}
	return s
}

// compareCard flags a card that contradicts the row or name that placed a photo.
func (o *Orchard) compareCard(p *Placement, s Seen) {
	if p.Tree == nil || s.CardTree == nil {
		return
	}
	if t, _ := o.Resolve(*s.CardTree); t != *p.Tree {
		p.Flags = append(p.Flags, fmt.Sprintf("the tree card in the photo is of %s; %s was followed", t.Words(), p.PlacedBy))
	}
}

// lastCards returns, for each photo, the last photo before it, by capture time and
// then by name, in which a card shows, of the same visit, folder and camera; nil
// where there is none or the photo has no capture time.
func lastCards(photos []Seen) []*Seen {
	order := make([]int, 0, len(photos))
	for i, s := range photos {
		if s.TakenAt != nil {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(i, j int) int {
		a, b := photos[i], photos[j]
		return cmp.Or(a.TakenAt.Compare(*b.TakenAt), cmp.Compare(a.Path, b.Path))
	})
	type roll struct{ visit, folder, camera string }
	last := map[roll]*Seen{}
	cards := make([]*Seen, len(photos))
	for _, i := range order {
		s := &photos[i]
		r := roll{s.Visit, path.Dir(s.Path), s.Camera}
		cards[i] = last[r]
		if s.CardTree != nil || s.CardProblem != "" {
			last[r] = s
		}
	}
	return cards
}
