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

// ReadPlan reads a plan.json; nil where there is none.
func ReadPlan(path string) (*Plan, error) {
	data, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("compare: read plan: %w", err)
	}
	var p Plan
	if err := json.Unmarshal(data, &p); err != nil {
		return nil, fmt.Errorf("compare: read plan %q: %w: make it anew with rowlight plan", path, err)
	}
	if p.Schema != planSchema {
		return nil, fmt.Errorf("compare: read plan %q: its schema is %q, %q is understood: make it anew with rowlight plan", path, p.Schema, planSchema)
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
