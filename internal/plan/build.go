package plan

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"rowlight/internal/orchard"
	"rowlight/metrics"
)

// Input is all that a plan is made of.
type Input struct {
	Orchard *orchard.Orchard
	Marks   orchard.Marks
	Visit   *orchard.VisitResult
	// History are the orchard's other visits; regrowth is learned from them.
	History []*orchard.VisitResult
	// SitePairs are trees before and after a cut; the site factor is learned from them.
	SitePairs []metrics.SitePair
	// NewPhotos of the visit are not among its results.
	NewPhotos int
	MaxHours  *float64  // nil: no limit
	MaxTrees  *int      // nil: no limit
	From      time.Time // first day of work; zero: not known
	Version   string
}

// builder holds what all trees share.
type builder struct {
	in       Input
	options  []option
	day      time.Time
	year     metrics.YearLimits
	regrowth metrics.Range
	site     *metrics.Estimate
	sick     map[string]bool // blocks with root rot
}

// Build makes the plan. The error is for what the caller must mend: limits that are no
// limits, hours that the orchard file does not give, a visit without a ranked tree.
func Build(in Input) (*Plan, error) {
	if err := in.CheckLimits(); err != nil {
		return nil, err
	}
	if !slices.ContainsFunc(in.Visit.Trees, func(t orchard.TreeResult) bool { return t.Priority != nil }) {
		return nil, fmt.Errorf("visit %s has no tree with a number: nothing to plan from; see report.html for what to retake", in.Visit.Visit)
	}
	options, err := loadOptions()
	if err != nil {
		return nil, err
	}
	t := in.Orchard.Crop.Targets
	b := &builder{
		in: in, options: options, day: orchard.VisitDay(in.Visit.Visit),
		year: metrics.YearLimits{Low: t.YearlyRemovalLow, High: t.YearlyRemovalHigh},
	}
	p := &Plan{
		Schema: Schema, Version: in.Version, Orchard: in.Orchard.Name, Visit: in.Visit.Visit,
		Settings: in.Visit.Settings, MaxHours: in.MaxHours, MaxTrees: in.MaxTrees, Starts: dayText(in.From),
		Year: Limits{t.YearlyRemovalLow, t.YearlyRemovalHigh},
	}
	p.Regrowth, p.Site = b.learn()
	b.sick = sickBlocks(in.Orchard, in.Marks, b.day)
	due := b.sort(p)
	if err := b.pick(p, due); err != nil {
		return nil, err
	}
	b.finish(p)
	return p, nil
}

// CheckLimits refuses limits that leave no work.
func (in Input) CheckLimits() error {
	if in.MaxHours != nil && (!(*in.MaxHours > 0) || math.IsInf(*in.MaxHours, 0)) {
		return fmt.Errorf("--hours %g leaves no time to prune: give hours above 0", *in.MaxHours)
	}
	if in.MaxTrees != nil && *in.MaxTrees < 1 {
		return fmt.Errorf("--trees %d leaves no tree to prune: give 1 or more", *in.MaxTrees)
	}
	return nil
}

// sort puts each tree of the visit where it belongs; those whose main cut is due come
// back in order of priority.
func (b *builder) sort(p *Plan) []Tree {
	var due []Tree
	seen := map[orchard.TreeID]bool{}
	for i := range b.in.Visit.Trees {
		r := &b.in.Visit.Trees[i]
		if !b.in.Orchard.Has(r.ID) {
			p.Notes = append(p.Notes, fmt.Sprintf("%s has results but is no longer in %s: left out", r.ID.Words(), orchard.FileName))
			continue
		}
		seen[r.ID] = true
		if a, apart := b.apart(r); apart {
			p.Apart = append(p.Apart, a)
			continue
		}
		switch t := b.tree(r); {
		case t.due && len(t.Options) == 0:
			p.Apart = append(p.Apart, noWay(t))
		case t.due:
			due = append(due, t)
		default:
			p.Maintenance = append(p.Maintenance, t)
		}
	}
	for _, id := range b.in.Orchard.Trees() {
		if seen[id] {
			continue
		}
		if gates := b.in.Marks.Gates(id, b.day); len(gates) > 0 {
			p.Apart = append(p.Apart, b.gated(id, gates))
			continue
		}
		p.Unmeasured = append(p.Unmeasured, id)
	}
	byRank := func(a, b Tree) int { return a.Rank - b.Rank }
	slices.SortStableFunc(due, byRank)
	slices.SortStableFunc(p.Maintenance, byRank)
	return due
}

// noWay is a tree whose cut is due and whose every way is ruled out or switched off.
func noWay(t Tree) Apart {
	a := Apart{ID: t.ID, Reasons: []string{"a cut is due, but no way of pruning is left"}, Advice: noWayAdvice}
	for _, c := range t.RuledOut {
		if c.ruled {
			a.Reasons = append(a.Reasons, strings.ToLower(c.Name)+": "+c.Reasons[0])
		}
	}
	return a
}

const noWayAdvice = "decide it at the tree, or change [plan] in orchard.toml or its mark"

// apart says whether a tree is out of the ranking, and why.
func (b *builder) apart(r *orchard.TreeResult) (Apart, bool) {
	if gates := b.in.Marks.Gates(r.ID, b.day); len(gates) > 0 {
		return b.gated(r.ID, gates), true
	}
	if r.Priority != nil {
		return Apart{}, false
	}
	why := r.Unranked
	if why == "" {
		why = "nothing of this tree could be measured"
	}
	advice := "see report.html for what to retake"
	if slices.ContainsFunc(r.Measurements, func(m orchard.Measurement) bool { return m.Value != nil }) {
		advice = "if " + orchard.MarksFile + " has changed since, run rowlight assess again; else " + advice
	}
	return Apart{ID: r.ID, Reasons: []string{why}, Advice: advice}, true
}

// gated is a tree that marks.csv takes out, with what is to be done about it.
func (b *builder) gated(id orchard.TreeID, gates []orchard.Mark) Apart {
	a := Apart{ID: id}
	for _, m := range gates {
		a.Reasons = append(a.Reasons, m.Reason())
	}
	a.Advice = gateAdvice(gates[0].Kind)
	if k := gates[0].Kind; k == orchard.RootRot || k == orchard.RootRotSuspected {
		t := Tree{ID: id, due: true}
		suited, _ := choose(b.options, b.in.Orchard.Plan.OptionsOff, b.factsOf(&t, metrics.TreeForm{}, nil, b.in.Marks.Of(id, b.day)))
		if i := slices.IndexFunc(suited, func(c Choice) bool { return c.Key == headingBack }); i >= 0 {
			a.Advice += "; or head back hard: " + suited[i].Reasons[0]
		}
	}
	return a
}

const headingBack = "heading_back"

func (b *builder) targets() orchard.Targets { return b.in.Orchard.Crop.Targets }

// densityLimit is the score's own: the most that an outline may be filled.
func (b *builder) densityLimit() float64 { return metrics.DefaultScoreSettings().Targets.Density }

func (b *builder) heightLimit(id orchard.TreeID) float64 {
	limit, _ := b.targets().HeightLimit(b.in.Orchard.RowSpacingM(id.Block))
	return limit
}

// sickBlocks are those with a mark of root rot that holds.
func sickBlocks(o *orchard.Orchard, marks orchard.Marks, day time.Time) map[string]bool {
	sick := map[string]bool{}
	for _, id := range o.Trees() {
		for _, m := range marks.Gates(id, day) {
			if m.Kind == orchard.RootRot || m.Kind == orchard.RootRotSuspected {
				sick[id.Block] = true
			}
		}
	}
	return sick
}

func dayText(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format(time.DateOnly)
}
