package compare

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"

	"rowlight/internal/orchard"
)

// planSchema is the plan.json that is understood here.
const planSchema = "rowlight-plan/1"

// Plan is what of plan.json a comparison needs.
type Plan struct {
	Schema string        `json:"schema"`
	Trees  []plannedTree `json:"trees"`
}

type plannedTree struct {
	ID       orchard.TreeID `json:"id"`
	ThisYear struct {
		Low  float64 `json:"low"`
		High float64 `json:"high"`
		Say  string  `json:"say"`
	} `json:"this_year"`
}

// ReadPlan reads a plan.json; nil where there is none. One that no rowlight plan writes
// is refused: its shares stand on the page.
func ReadPlan(path string) (*Plan, error) {
	data, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("compare: read plan: %w", err)
	}
	p, err := parsePlan(data)
	if err != nil {
		return nil, fmt.Errorf("compare: read plan %q: %w: make it anew with rowlight plan", path, err)
	}
	return p, nil
}

func parsePlan(data []byte) (*Plan, error) {
	var p Plan
	if err := json.Unmarshal(data, &p); err != nil {
		return nil, err
	}
	if p.Schema != planSchema {
		return nil, fmt.Errorf("its schema is %q, %q is understood", p.Schema, planSchema)
	}
	for _, t := range p.Trees {
		if y := t.ThisYear; !(0 <= y.Low && y.Low <= y.High && y.High <= 1) {
			return nil, fmt.Errorf("%s is to lose %g to %g of its leaf", t.ID.Words(), y.Low, y.High)
		}
	}
	return &p, nil
}

// of returns a tree's part of the plan; nil for none.
func (p *Plan) of(id orchard.TreeID) *plannedTree {
	if p == nil {
		return nil
	}
	for i := range p.Trees {
		if p.Trees[i].ID == id {
			return &p.Trees[i]
		}
	}
	return nil
}
