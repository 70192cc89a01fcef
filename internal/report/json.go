package report

import (
	"encoding/json"
	"fmt"
	"io"

	"rowlight/internal/orchard"
)

// WriteJSON writes results.json, schema "rowlight-results/1"; see the
// package's text. Empty lists of trees and photos are written as [].
func WriteJSON(w io.Writer, res *orchard.VisitResult) error {
	s := sound(res)
	if s.Trees == nil {
		s.Trees = []orchard.TreeResult{}
	}
	if s.Photos == nil {
		s.Photos = []orchard.Record{}
	}
	return encode(w, s)
}

// ReadJSON reads what WriteJSON wrote, and refuses any other schema and what no run
// writes (orchard.VisitResult.Check).
func ReadJSON(r io.Reader) (*orchard.VisitResult, error) {
	var res orchard.VisitResult
	if err := json.NewDecoder(r).Decode(&res); err != nil {
		return nil, fmt.Errorf("report: read results: %w", err)
	}
	if res.Schema != Schema {
		return nil, fmt.Errorf("report: read results: schema is %q, this version of rowlight reads %q", res.Schema, Schema)
	}
	if err := res.Check(); err != nil {
		return nil, fmt.Errorf("report: read results: %w", err)
	}
	return &res, nil
}

// encode leaves < > & as they are: the file is no web page, and paths stay readable.
func encode(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(v)
}
