package report

import (
	"fmt"
	"html/template"
	"slices"
	"strings"
	"time"

	"rowlight/internal/orchard"
)

// page is all that the template prints; it holds words, no rules.
type page struct {
	CSS              template.CSS
	Orchard, Visit   string
	Taken, Written   string
	Summary          []string
	Groups           []pageGroup
	Unranked         []treeView
	Maps             []blockMap
	Means            []meansView
	Trees            []treeView // ranked and unranked, as listed
	Retakes          []retake
	Broken, Unplaced []photoLine
	StillToTake      []shotLine
	NoPhotos         []noPhoto
	Sways            []swayLine
	Targets          Targets
	HeightLimits     []string
	Version          string
	Settings         string
	OneTree          bool   // the page is of a single tree
	Single           bool   // nothing lies beside the page
	Pictures         string // single: what was done to the pictures
}

type pageGroup struct {
	Label string
	Tied  bool
	Trees []treeView
}

// Count is the number of trees in the group.
func (g pageGroup) Count() int { return len(g.Trees) }

func newPage(res *orchard.VisitResult, opt Options) *page {
	p := &page{Orchard: res.Orchard, Visit: res.Visit, Taken: takenBetween(res.Photos),
		Targets: opt.Targets, Version: res.Version, Settings: res.Settings}
	if !opt.GeneratedAt.IsZero() {
		p.Written = opt.GeneratedAt.Format(stampLayout)
	}
	ranked, unranked := groups(res.Trees)
	p.Summary = summary(res, ranked, opt.Layout)
	if opt.part != nil {
		p.Summary = opt.part.summary(res, ranked)
		res, ranked, unranked = opt.part.of(res, ranked, unranked)
		p.Single, p.OneTree = true, opt.part.tree != nil
	}
	v := newViewer(opt, slices.Concat(res.Photos, res.Pairs))
	for _, g := range ranked {
		pg := pageGroup{Label: g.Label(), Tied: g.Tied()}
		for i := range g.Trees {
			pg.Trees = append(pg.Trees, v.tree(&g.Trees[i], g.Label(), g.Tied()))
		}
		p.Groups = append(p.Groups, pg)
		p.Trees = append(p.Trees, pg.Trees...)
	}
	for i := range unranked {
		p.Unranked = append(p.Unranked, v.tree(&unranked[i], "", false))
	}
	p.Trees = append(p.Trees, p.Unranked...)
	p.Maps = maps(res, ranked, opt.Layout)
	p.Means = blockMeans(res, opt.Layout)
	p.Sways = swayLines(res, opt.Layout)
	p.fillScoutList(res, opt.Layout)
	if p.OneTree {
		p.NoPhotos = nil // the others of its block are not the page's matter
	}
	for _, b := range opt.Layout.Blocks {
		if b.HeightLimitM > 0 {
			p.HeightLimits = append(p.HeightLimits, trimmed(b.HeightLimitM, 2)+space+"m in "+b.title())
		}
	}
	return p
}

// stampLayout is how a moment is printed: no order of day and month to guess.
const stampLayout = "2 Jan 2006, 15:04 MST"

// takenBetween says when the visit's photos were taken.
func takenBetween(photos []orchard.Record) string {
	var first, last *time.Time
	for i := range photos {
		t := photos[i].TakenAt
		if t == nil {
			continue
		}
		if first == nil || t.Before(*first) {
			first = t
		}
		if last == nil || t.After(*last) {
			last = t
		}
	}
	const day, clock = "2 Jan 2006", "15:04"
	switch {
	case first == nil:
		return ""
	case first.Format(day) == last.Format(day):
		return first.Format(day+", "+clock) + dash + last.Format(clock)
	}
	return first.Format(day) + " " + dash + " " + last.Format(day)
}

// namesShown is how many trees the summary names before it says "and 3 more":
// a manager reads it on one phone screen.
const namesShown = 6

// summary is the manager's few sentences.
func summary(res *orchard.VisitResult, ranked []group, l Layout) []string {
	measured := 0
	for _, g := range ranked {
		measured += len(g.Trees)
	}
	refused, other := 0, 0
	for _, p := range res.Photos {
		switch p.Status {
		case orchard.Refused:
			refused++
		case orchard.Failed, orchard.Unplaced:
			other++
		}
	}
	counts := plural(measured, "tree") + " measured, " + plural(refused, "photo") + " refused"
	if other > 0 {
		counts += ", " + plural(other, "photo") + " unread or without a tree"
	}
	return []string{counts + ".", leaders(ranked, measured, l)}
}

func leaders(ranked []group, measured int, l Layout) string {
	if measured == 0 {
		return "No tree could be put in order."
	}
	first := ranked[0].Trees
	var names []string
	for _, t := range first[:min(len(first), namesShown)] {
		names = append(names, treeName(t.ID, l))
	}
	if more := len(first) - len(names); more > 0 {
		names = append(names, fmt.Sprintf("and %d more", more))
	}
	all := strings.Join(names, "; ")
	switch {
	case len(first) == 1 && measured == 1:
		return "The only tree measured: " + all + "."
	case len(first) == 1:
		return "One tree is clearly first: " + all + "."
	case len(first) == measured:
		return "These trees cannot be told apart yet; more photos of each would part them: " + all + "."
	}
	return plural(len(first), "tree") + " clearly come first, level with each other: " + all + "."
}

// treeName is a tree as people say it: "North, row 3, tree 11".
func treeName(id orchard.TreeID, l Layout) string {
	return l.block(id.Block).title() + ", " + inBlock(id)
}

func anchor(id orchard.TreeID) string {
	return "tree-" + slug(id.Block) + "-" + points(float64(id.Row)) + "-" + points(float64(id.Tree))
}

// blockKeys returns the distinct blocks: those of the layout in its order,
// then others by key, so that no tree is left off the map.
func blockKeys(trees []orchard.TreeResult, l Layout) []string {
	var keys, other []string
	for _, b := range l.Blocks {
		keys = append(keys, b.Key)
	}
	for _, t := range trees {
		if !slices.Contains(keys, t.ID.Block) && !slices.Contains(other, t.ID.Block) {
			other = append(other, t.ID.Block)
		}
	}
	slices.Sort(other)
	return append(keys, other...)
}
