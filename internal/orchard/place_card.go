package orchard

import (
	"fmt"
	"path"
	"time"
)

// placeByCard places a photo by the card in it, or by the card before it.
func (o *Orchard) placeByCard(p *Placement, s Seen, before *Seen) {
	switch {
	case s.CardProblem != "":
		p.unplaced("the tree card in it names no tree: "+s.CardProblem, mendPlace(s))
	case s.CardTree != nil:
		o.placeByOwnCard(p, s)
	case s.TakenAt == nil:
		p.unplaced("no row of "+PhotosFile+", no tree in its name and no tree card in it; without a capture time no card before it can be found", mendPlace(s))
	case before == nil:
		p.unplaced("no row of "+PhotosFile+", no tree in its name, no tree card in it or before it", mendPlace(s))
	default:
		o.placeByCardBefore(p, s, *before)
	}
}

func (o *Orchard) placeByOwnCard(p *Placement, s Seen) {
	t, why := o.Resolve(*s.CardTree)
	if why != "" {
		p.unplaced("the tree card in it is of another orchard: "+why, mendPlace(s))
		return
	}
	if len(s.Boards) == 0 && s.KindHint == "" && kindWord(path.Base(s.Path)) == "" {
		p.Status, p.Tree, p.PlacedBy = Card, &t, ByCard
		if s.TakenAt == nil {
			p.Flags = append(p.Flags, "this card has no capture time, so it names no photo after it")
		}
		return
	}
	p.at(t, "", ByCard, s)
}

func (o *Orchard) placeByCardBefore(p *Placement, s, card Seen) {
	gap := s.TakenAt.Sub(*card.TakenAt)
	if card.CardTree == nil {
		p.unplaced(fmt.Sprintf("the tree card before it, in %s, names no tree: %s", path.Base(card.Path), card.CardProblem), mendPlace(s))
		return
	}
	t, why := o.Resolve(*card.CardTree)
	switch {
	case why != "":
		p.unplaced(fmt.Sprintf("the tree card before it, in %s, is of another orchard: %s", path.Base(card.Path), why), mendPlace(s))
	case gap > o.Cards.MaxGap:
		p.unplaced(fmt.Sprintf("the last tree card before it, in %s, is %s older; the limit is %s", path.Base(card.Path), minutes(gap), minutes(o.Cards.MaxGap)),
			mendPlace(s)+"; the limit is max_gap_min under [cards] in "+FileName)
	default:
		p.at(t, "", ByCard, s)
	}
}

func minutes(d time.Duration) string {
	return fmt.Sprintf("%.0f min", max(d.Minutes(), 1))
}

// mendPlace is how a photo that could not be placed can be.
func mendPlace(s Seen) string {
	return fmt.Sprintf("add a row for %s to %s, or name it as b1-r03-t11-floor%s; next time photograph the tree's card first", path.Base(s.Path), PhotosFile, path.Ext(s.Path))
}
