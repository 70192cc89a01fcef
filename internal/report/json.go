package report

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"rowlight/internal/orchard"
)

// WriteJSON writes results.json, schema "rowlight-results/1"; see the
// package's text. Empty lists of trees and photos are written as [].
//
// Trees and photos go out one by one: encoding/json holds what it writes twice in memory,
// and a thousand trees are 60 MB.
func WriteJSON(w io.Writer, res *orchard.VisitResult) error {
	s := sound(res)
	frame := *s
	frame.Trees, frame.Photos = nil, nil
	var b strings.Builder
	if err := encode(&b, &frame); err != nil {
		return err
	}
	// A line break and bare quotes stand in no JSON string, so these are the two keys.
	head, rest, _ := strings.Cut(b.String(), "\n  \"trees\": null")
	between, tail, _ := strings.Cut(rest, "\n  \"photos\": null")
	if _, err := io.WriteString(w, head); err != nil {
		return err
	}
	if err := writeList(w, "trees", s.Trees, between); err != nil {
		return err
	}
	return writeList(w, "photos", s.Photos, tail)
}

// writeList writes a key of the outermost object with its list, as encode would, and what
// comes after it.
func writeList[T any](w io.Writer, key string, items []T, after string) error {
	open, shut := "\n  \""+key+"\": [", "]"
	for i := range items {
		var b bytes.Buffer
		e := json.NewEncoder(&b)
		e.SetEscapeHTML(false)
		e.SetIndent("    ", "  ")
		if err := e.Encode(&items[i]); err != nil {
			return err
		}
		if _, err := io.WriteString(w, open+"\n    "+strings.TrimSuffix(b.String(), "\n")); err != nil {
			return err
		}
		open, shut = ",", "\n  ]"
	}
	if len(items) > 0 {
		open = ""
	}
	_, err := io.WriteString(w, open+shut+after)
	return err
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
