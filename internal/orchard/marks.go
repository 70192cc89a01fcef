package orchard

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// MarksFile is the table of what a person knows of a tree and no photo shows.
const MarksFile = "marks.csv"

// MarkKind is what a mark says.
type MarkKind string

// The marks. The first six are gates: they take a tree out of the ranking.
const (
	PowerLine        MarkKind = "power_line" // a line near enough that a limb could fall into its zone
	RootRot          MarkKind = "root_rot"   // known
	RootRotSuspected MarkKind = "root_rot_suspected"
	TooYoung         MarkKind = "too_young"    // before the main programme begins
	JustPruned       MarkKind = "just_pruned"  // since: the day of the cut
	PhotosUnfit      MarkKind = "photos_unfit" // a person has looked and does not believe them
	// What follows is knowledge that the plan uses and no gate.
	Flooded        MarkKind = "flooded"
	DrainageMended MarkKind = "drainage_mended"
	FewLimbs       MarkKind = "few_limbs"   // fewer than three main limbs
	BareInside     MarkKind = "bare_inside" // the inner canopy has lost its leaf
)

// MarkKinds returns all of them, gates first.
func MarkKinds() []MarkKind {
	return []MarkKind{PowerLine, RootRot, RootRotSuspected, TooYoung, JustPruned, PhotosUnfit, Flooded, DrainageMended, FewLimbs, BareInside}
}

// justPrunedDays is how long a tree counts as just pruned where marks.csv names no
// end: half a year, so that one main prune a season is not asked for twice (ours).
const justPrunedDays = 182

// Words says the mark as a grower would.
func (k MarkKind) Words() string {
	return map[MarkKind]string{
		PowerLine: "power line near", RootRot: "root rot known", RootRotSuspected: "root rot suspected",
		TooYoung: "too young", JustPruned: "just pruned", PhotosUnfit: "photos unfit",
		Flooded: "stood in flood", DrainageMended: "drainage mended",
		FewLimbs: "too few main limbs", BareInside: "bare inside",
	}[k]
}

// Gates says whether the mark takes a tree out of the ranking.
func (k MarkKind) Gates() bool {
	return slices.Contains([]MarkKind{PowerLine, RootRot, RootRotSuspected, TooYoung, JustPruned, PhotosUnfit}, k)
}

// Mark is a row of marks.csv: one tree, a whole row (Tree 0) or a whole block
// (Row and Tree 0).
type Mark struct {
	Block string
	Row   int
	Tree  int
	Kind  MarkKind
	Since *time.Time // the first day it holds; nil: always
	Until *time.Time // the last day it holds; nil: for good
	Note  string
	Line  int
}

// Reason says the mark in a sentence: "power line near (since 2026-08-01: the low
// wire at the gate)".
func (m Mark) Reason() string {
	var more []string
	if m.Since != nil {
		more = append(more, "since "+m.Since.Format(dayForm))
	}
	if m.Note != "" {
		more = append(more, m.Note)
	}
	if len(more) == 0 {
		return m.Kind.Words()
	}
	return fmt.Sprintf("%s (%s)", m.Kind.Words(), strings.Join(more, ": "))
}

// covers says whether the mark is of a tree.
func (m Mark) covers(t TreeID) bool {
	return foldKey(m.Block) == foldKey(t.Block) && (m.Row == 0 || m.Row == t.Row) && (m.Tree == 0 || m.Tree == t.Tree)
}

// holds says whether the mark holds on a day; a zero day is not known and every
// mark holds.
func (m Mark) holds(day time.Time) bool {
	if day.IsZero() {
		return true
	}
	return (m.Since == nil || !day.Before(*m.Since)) && (m.Until == nil || !day.After(*m.Until))
}

// Marks are the rows of marks.csv.
type Marks []Mark

// Of returns the marks of a tree that hold on a day (VisitDay), gates first, in
// the order of MarkKinds.
func (ms Marks) Of(t TreeID, day time.Time) []Mark {
	var out []Mark
	for _, k := range MarkKinds() {
		for _, m := range ms {
			if m.Kind == k && m.covers(t) && m.holds(day) {
				out = append(out, m)
			}
		}
	}
	return out
}

// Gates returns those marks of a tree that take it out of the ranking on a day.
func (ms Marks) Gates(t TreeID, day time.Time) []Mark {
	var out []Mark
	for _, m := range ms.Of(t, day) {
		if m.Kind.Gates() {
			out = append(out, m)
		}
	}
	return out
}

const dayForm = "2006-01-02"

// VisitDay returns the day a visit is named by ("2026-03-14", "2026-03-14 second
// walk"); the zero time where its name begins with no day.
func VisitDay(visit string) time.Time {
	if len(visit) < len(dayForm) {
		return time.Time{}
	}
	day, err := time.Parse(dayForm, visit[:len(dayForm)])
	if err != nil {
		return time.Time{}
	}
	return day
}

// LoadMarks reads the marks.csv of an orchard folder; none is no error. Rows that
// cannot be used come as problems, the rest is returned.
func LoadMarks(dir string, o *Orchard) (Marks, Problems, error) {
	data, err := os.ReadFile(filepath.Join(dir, MarksFile))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil, nil
	}
	if err != nil {
		return nil, nil, fmt.Errorf("orchard: read %s: %w", MarksFile, err)
	}
	marks, problems := ParseMarks(MarksFile, data, o)
	return marks, problems, nil
}
