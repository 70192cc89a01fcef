package plan

import (
	_ "embed"
	"fmt"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"
)

//go:embed options.toml
var optionsFile string

// effect is what a rule does.
type effect string

const (
	suits    effect = "suits"
	rulesOut effect = "rules_out"
	watch    effect = "watch"
)

// rule is a line of common practice: where its facts hold, it suits an option to a
// tree or rules it out.
type rule struct {
	ID     string   `toml:"id"`
	Effect effect   `toml:"effect"`
	When   []string `toml:"when"`
	Points int      `toml:"points"`
	Say    string   `toml:"say"`
	Source string   `toml:"source"`
}

// option is a way of pruning.
type option struct {
	Key      string   `toml:"key"`
	Name     string   `toml:"name"`
	How      []string `toml:"how"`
	Bares    bool     `toml:"bares_wood"` // shaded wood comes into the sun
	Never    bool     `toml:"never"`      // a warning, no option
	Unsuited string   `toml:"unsuited"`
	Rules    []rule   `toml:"rule"`
}

// loadOptions reads the option table and checks it.
func loadOptions() ([]option, error) {
	var file struct {
		Options []option `toml:"option"`
	}
	d := toml.NewDecoder(strings.NewReader(optionsFile)).DisallowUnknownFields()
	if err := d.Decode(&file); err != nil {
		return nil, fmt.Errorf("plan: read the option table: %w", err)
	}
	seen := map[string]bool{}
	for _, o := range file.Options {
		for _, r := range o.Rules {
			if err := r.check(o.Key); err != nil || seen[r.ID] {
				return nil, fmt.Errorf("plan: option table: rule %q (twice: %v): %w", r.ID, seen[r.ID], err)
			}
			seen[r.ID] = true
		}
	}
	return file.Options, nil
}

func (r rule) check(option string) error {
	switch {
	case !strings.HasPrefix(r.ID, option+"."):
		return fmt.Errorf("its id does not begin with %s", option)
	case r.Source == "" || r.Say == "":
		return fmt.Errorf("it has no source or says nothing")
	case !slices.Contains([]effect{suits, rulesOut, watch}, r.Effect):
		return fmt.Errorf("effect %q is not known", r.Effect)
	case (r.Points > 0) != (r.Effect == suits):
		return fmt.Errorf("points belong to suits, and only there")
	}
	for _, f := range r.When {
		if !slices.Contains(allFacts(), fact(strings.TrimPrefix(f, "!"))) {
			return fmt.Errorf("fact %q is not known", f)
		}
	}
	return nil
}

// holds says whether all the rule's facts hold.
func (r rule) holds(f facts) bool {
	for _, name := range r.When {
		name, not := strings.CutPrefix(name, "!")
		if _, ok := f[fact(name)]; ok == not {
			return false
		}
	}
	return true
}

// reason says the rule with the numbers of the facts it rests on.
func (r rule) reason(f facts) string {
	var said []string
	for _, name := range r.When {
		if words := f[fact(name)]; words != "" {
			said = append(said, words)
		}
	}
	if len(said) == 0 {
		return r.Say
	}
	return r.Say + " (" + strings.Join(said, "; ") + ")"
}

// Choice is a way of pruning as it suits one tree, or does not.
type Choice struct {
	Key     string   `json:"key"`
	Name    string   `json:"name"`
	Reasons []string `json:"reasons"`
	How     []string `json:"how,omitempty"`
	Watch   []string `json:"watch,omitempty"`
	points  int
	bares   bool
	ruled   bool // out by a rule or the grower, not for want of a reason
}

// choose weighs the options for a tree: those suited, best first, and those ruled
// out, each with its reasons.
func choose(options []option, off []string, f facts) (suited, out []Choice) {
	for _, o := range options {
		c, ok := o.weigh(f)
		if ok && slices.Contains(off, o.Key) {
			ok, c = false, Choice{Key: o.Key, Name: o.Name, Reasons: []string{switchedOff}, ruled: true}
		}
		if ok {
			suited = append(suited, c)
		} else {
			out = append(out, c)
		}
	}
	slices.SortStableFunc(suited, func(a, b Choice) int { return b.points - a.points })
	return suited, out
}

const switchedOff = "switched off in orchard.toml ([plan] options_off)"

func (o option) weigh(f facts) (Choice, bool) {
	pro, con := Choice{Key: o.Key, Name: o.Name, How: o.How, bares: o.Bares}, Choice{Key: o.Key, Name: o.Name}
	for _, r := range o.Rules {
		if !r.holds(f) {
			continue
		}
		switch r.Effect {
		case suits:
			pro.points += r.Points
			pro.Reasons = append(pro.Reasons, r.reason(f))
		case watch:
			pro.Watch = append(pro.Watch, r.reason(f))
		case rulesOut:
			con.Reasons = append(con.Reasons, r.reason(f))
		}
	}
	if len(con.Reasons) > 0 || o.Never {
		con.ruled = !o.Never
		return con, false
	}
	if pro.points == 0 {
		con.Reasons = []string{o.Unsuited}
		return con, false
	}
	return pro, true
}
