package plan

import (
	"slices"
	"strings"
	"testing"

	"rowlight/internal/orchard"
)

// Where a rule comes from. Common practice is what the trade notes (section 6.3 and
// 6.1) list as such; the others are worked out in their section 8.
const (
	practice = "common practice"
	window   = "window bound (Pt-P0)/(1-P0) against 1 - ln Pt/ln P0"
	path     = "thinning path L -> L(1-cut)(1+g)"
	cancel   = "regrowth g >= cap/(1-cap)"
)

// ruleCases holds each rule of the table: the facts under which it holds, one more or
// fewer under which it does not, what it does and its source.
func ruleCases() map[string]struct {
	holds, not string
	effect     effect
	source     string
} {
	type c = struct {
		holds, not string
		effect     effect
		source     string
	}
	return map[string]c{
		"limb_removal.dark":      {"dark", "", suits, window},
		"limb_removal.long":      {"thinning_long", "dark", suits, path},
		"limb_removal.tall":      {"too_tall", "too_tall large", suits, practice},
		"limb_removal.few_limbs": {"few_limbs", "dark", rulesOut, practice},
		"limb_removal.no_cut":    {"no_cut_due", "cut_due", rulesOut, practice},
		"limb_removal.bare":      {"bare_inside", "dark", watch, practice},
		"limb_removal.near_line": {"alley_narrow", "dark", watch, practice},
		"frame.any":              {"cut_due", "no_cut_due", suits, practice},
		"frame.close":            {"cut_due close_planting", "close_planting", suits, practice},
		"frame.open":             {"cut_due habit_open", "cut_due", suits, practice},
		"frame.few_limbs":        {"few_limbs", "", rulesOut, practice},
		"frame.labour":           {"labour_short", "", rulesOut, practice},
		"frame.no_cut":           {"no_cut_due", "cut_due", rulesOut, practice},
		"frame.never":            {"thinning_never", "thinning_long", watch, cancel},
		"columns.large":          {"large cut_due", "cut_due too_tall", suits, practice},
		"columns.few_limbs":      {"few_limbs", "large", rulesOut, practice},
		"columns.no_cut":         {"no_cut_due", "cut_due", rulesOut, practice},
		"hedging.face":           {"alley_narrow cut_due", "cut_due", suits, practice},
		"hedging.labour":         {"alley_narrow labour_short cut_due", "labour_short cut_due", suits, practice},
		"hedging.open":           {"habit_open", "", rulesOut, practice},
		"hedging.follow_up":      {"", "follow_up_paid", rulesOut, practice},
		"hedging.no_cut":         {"no_cut_due", "cut_due", rulesOut, practice},
		"hedging.shell":          {"dense_inside", "dark", watch, practice},
		"heading_back.flood":     {"flooded drainage_mended", "flooded", suits, practice},
		"heading_back.rot":       {"root_rot drainage_mended", "root_rot", suits, practice},
		"heading_back.wet_flood": {"flooded", "flooded drainage_mended", rulesOut, practice},
		"heading_back.wet_rot":   {"root_rot", "root_rot drainage_mended", rulesOut, practice},
		"rows_out.close":         {"close_planting alley_narrow", "alley_narrow", suits, practice},
		"rows_out.touching":      {"canopies_touch", "alley_narrow", rulesOut, practice},
		"rows_out.bare":          {"bare_inside", "dark", rulesOut, practice},
		"maintenance.met":        {"no_cut_due", "cut_due", suits, practice},
		"flat_top.never":         {"", "-", rulesOut, practice},
		"flat_top.bare":          {"bare_inside", "dark", rulesOut, practice},
		"open_vase.never":        {"", "-", rulesOut, practice},
	}
}

func factSet(words string) facts {
	f := facts{}
	for _, w := range strings.Fields(words) {
		f[fact(w)] = ""
	}
	return f
}

func TestEveryRuleHoldsWhereItShouldAndNamesItsSource(t *testing.T) {
	options, err := loadOptions()
	if err != nil {
		t.Fatal(err)
	}
	cases := ruleCases()
	for _, o := range options {
		for _, r := range o.Rules {
			c, ok := cases[r.ID]
			if !ok {
				t.Errorf("rule %s has no case here", r.ID)
				continue
			}
			delete(cases, r.ID)
			if !r.holds(factSet(c.holds)) {
				t.Errorf("%s does not hold for %q", r.ID, c.holds)
			}
			if c.not != "-" && r.holds(factSet(c.not)) { // "-": it holds always
				t.Errorf("%s holds for %q", r.ID, c.not)
			}
			if r.Effect != c.effect || r.Source != c.source {
				t.Errorf("%s: %s by %q, want %s by %q", r.ID, r.Effect, r.Source, c.effect, c.source)
			}
		}
	}
	for id := range cases {
		t.Errorf("case %s has no rule", id)
	}
}

func TestOptionKeysAreThoseOfTheOrchardFile(t *testing.T) {
	options, err := loadOptions()
	if err != nil {
		t.Fatal(err)
	}
	var keys []string
	for _, o := range options {
		if !o.Never {
			keys = append(keys, o.Key)
		}
	}
	if !slices.Equal(keys, orchard.PlanOptions()) {
		t.Errorf("options.toml has %v, the orchard file takes %v", keys, orchard.PlanOptions())
	}
}

// Whole trees, as common practice would choose: what comes first, what is ruled out and
// by which words.
func TestChoices(t *testing.T) {
	options, err := loadOptions()
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		facts string
		off   []string
		first string
		out   map[string]string
	}{
		"dark mature tree":      {"dark cut_due thinning_long", nil, "limb_removal", map[string]string{"flat_top": "never", "open_vase": "darker than before", "heading_back": "flood or root rot only", "hedging": "no follow-up is paid for"}},
		"large tree":            {"dark cut_due too_tall large", nil, "columns", nil},
		"large, few limbs":      {"dark cut_due too_tall large few_limbs alley_narrow follow_up_paid", nil, "hedging", map[string]string{"columns": "too few well spaced limbs", "limb_removal": "open vase", "frame": "no frame"}},
		"hands are short":       {"dark cut_due alley_narrow labour_short follow_up_paid", nil, "hedging", map[string]string{"frame": "skill and time"}},
		"open habit":            {"cut_due alley_narrow labour_short follow_up_paid habit_open dark", nil, "limb_removal", map[string]string{"hedging": "waits for autumn"}},
		"open habit, only form": {"cut_due too_tall habit_open", nil, "frame", nil},
		"light and low":         {"no_cut_due", nil, "maintenance", map[string]string{"limb_removal": "no main cut is due", "hedging": "no main cut is due"}},
		"flooded, mended":       {"cut_due flooded drainage_mended", nil, "heading_back", nil},
		"flooded, wet":          {"cut_due flooded dark", nil, "limb_removal", map[string]string{"heading_back": "drainage is not mended"}},
		"switched off":          {"dark cut_due", []string{"limb_removal"}, "frame", map[string]string{"limb_removal": "switched off in orchard.toml"}},
		"rows too close":        {"cut_due alley_narrow close_planting canopies_touch", nil, "frame", map[string]string{"rows_out": "touch already"}},
	} {
		suited, out := choose(options, c.off, factSet(c.facts))
		if len(suited) == 0 || suited[0].Key != c.first {
			t.Errorf("%s: first is %v, want %s", name, suited, c.first)
		}
		if len(suited)+len(out) != len(options) {
			t.Errorf("%s: %d suited and %d ruled out of %d", name, len(suited), len(out), len(options))
		}
		for key, words := range c.out {
			i := slices.IndexFunc(out, func(o Choice) bool { return o.Key == key })
			if i < 0 || !strings.Contains(strings.Join(out[i].Reasons, "; "), words) {
				t.Errorf("%s: %s is not ruled out by %q: %v", name, key, words, out)
			}
		}
		for _, o := range append(suited, out...) {
			if len(o.Reasons) == 0 {
				t.Errorf("%s: %s has no reason", name, o.Key)
			}
		}
	}
}

// A tree whose every way is ruled out or switched off stands apart with the reasons,
// and keeps no other tree from its hours.
func TestNoWayLeftIsSaid(t *testing.T) {
	o := testOrchard(t, "[plan]\noptions_off = [\"frame\", \"hedging\"]\n[plan.hours_per_tree]\nlimb_removal = 1.5\n")
	hours := 4.0
	p := build(t, Input{Orchard: o, MaxHours: &hours, Marks: marked(t, o, "b1,1,1,few_limbs,,,\n"),
		Visit: visit(o, "2026-08-20", result("b1", 1, 1, 1, .05, 4), result("b1", 1, 2, 2, .05, 4))})
	if len(p.Trees) != 1 || p.Trees[0].ID.Tree != 2 || len(p.Apart) != 1 {
		t.Fatalf("to do %v, apart %v", ids(p.Trees), p.Apart)
	}
	said := strings.Join(p.Apart[0].Reasons, "; ")
	for _, want := range []string{"no way of pruning is left", "take out one main limb: too few main limbs", "hedge by machine, with windows: no follow-up"} {
		if !strings.Contains(said, want) {
			t.Errorf("%q does not say %q", said, want)
		}
	}
}
