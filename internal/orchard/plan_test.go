package orchard

import (
	"math"
	"strings"
	"testing"
	"time"
)

func planFile(plan, block string) []byte {
	return []byte(`name = "x"
[place]
latitude_deg = -25
longitude_deg = 152
time_zone = "Etc/UTC"
` + plan + `
[[blocks]]
key = "b1"
rows = 1
trees_per_row = 1
row_spacing_m = 8
tree_spacing_m = 5
row_direction_deg = 0
` + block)
}

func TestPlanIsRead(t *testing.T) {
	o, err := Parse(FileName, planFile(`[plan]
options_off = ["hedging", "rows_out"]
labour_short = true
skirt_m = 0
follow_up_days = [45]
[plan.hours_per_tree]
limb_removal = 1.5
`, ""))
	if err != nil {
		t.Fatal(err)
	}
	p := o.Plan
	if strings.Join(p.OptionsOff, " ") != "hedging rows_out" || !p.LabourShort || p.FollowUpPaid || p.SkirtM != 0 || len(p.FollowUpDays) != 1 || p.FollowUpDays[0] != 45 {
		t.Errorf("%+v", p)
	}
	if p.RegrowthLow != 0.18 || p.RegrowthHigh != 0.25 { // trade 8.3's default range
		t.Errorf("regrowth %g to %g", p.RegrowthLow, p.RegrowthHigh)
	}
	if p.Hours("limb_removal") != 1.5 || !math.IsNaN(p.Hours("hedging")) {
		t.Errorf("hours %v", p.HoursPerTree)
	}
}

func TestPlanProblemsNameTheirLine(t *testing.T) {
	for plan, say := range map[string]string{
		"[plan]\noptions_off = [\"hedgin\"]":              `orchard.toml:7: options_off has the text "hedgin": did you mean hedging?`,
		"[plan]\noptions_off = \"hedging\"":               "orchard.toml:7: options_off is the text",
		"[plan]\nfollow_up_days = [60, 30]":               "orchard.toml:7: follow_up_days has 30 after 60",
		"[plan]\nregrowth_low_fraction = 0.3":             "orchard.toml:7: regrowth_low_fraction 0.3 is above",
		"[plan]\n[plan.hours_per_tree]\nlimb_removal = 0": "orchard.toml:8: limb_removal is 0: give your own hours",
		"[plan]\n[plan.hours_per_tree]\nlimbremoval = 1":  `orchard.toml:8: "limbremoval" is no key`,
		"[plan]\nlabor_short = true":                      "did you mean labour_short?",
		"[plan]\nskirt_m = -1":                            "orchard.toml:7: skirt_m is -1",
	} {
		if _, err := Parse(FileName, planFile(plan, "")); err == nil || !strings.Contains(err.Error(), say) {
			t.Errorf("%q: %v, want %q", plan, err, say)
		}
	}
	if _, err := Parse(FileName, planFile("", `harvest_ends = "July"`)); err == nil || !strings.Contains(err.Error(), `harvest_ends is "July"`) {
		t.Errorf("harvest_ends = July: %v", err)
	}
}

func TestPruneSeason(t *testing.T) {
	day := func(s string) time.Time { return VisitDay(s) }
	for _, c := range []struct{ block, day, from, until string }{
		// After harvest and before flowering, the visit within it.
		{"harvest_ends = \"07-31\"\nflowering_begins = \"09-15\"", "2026-08-20", "2026-08-01", "2026-09-14"},
		// Too late this year: the next.
		{"harvest_ends = \"07-31\"\nflowering_begins = \"09-15\"", "2026-09-24", "2027-08-01", "2027-09-14"},
		// Over the turn of the year.
		{"harvest_ends = \"11-30\"\nflowering_begins = \"02-01\"", "2027-01-10", "2026-12-01", "2027-01-31"},
		// The open habit waits for autumn, 1 March in the south.
		{"habit = \"open\"\nharvest_ends = \"01-31\"\nflowering_begins = \"09-01\"", "2026-02-10", "2026-03-01", "2026-08-31"},
		{"habit = \"open\"\nharvest_ends = \"04-15\"\nflowering_begins = \"09-01\"", "2026-02-10", "2026-04-16", "2026-08-31"},
	} {
		o, err := Parse(FileName, planFile("", c.block))
		if err != nil {
			t.Fatal(err)
		}
		s, ok := o.PruneSeason(&o.Blocks[0], day(c.day))
		if !ok || !s.From.Equal(day(c.from)) || !s.Until.Equal(day(c.until)) {
			t.Errorf("%q on %s: %v to %v, want %s to %s", c.block, c.day, s.From, s.Until, c.from, c.until)
		}
	}
	o, err := Parse(FileName, planFile("", `harvest_ends = "07-31"`))
	if err != nil {
		t.Fatal(err)
	}
	if _, ok := o.PruneSeason(&o.Blocks[0], day("2026-08-20")); ok {
		t.Error("a season was made of one end")
	}
}
