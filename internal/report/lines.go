package report

import (
	"encoding/json"
	"fmt"
	"io"

	"rowlight/internal/orchard"
)

// WriteTreeLines writes the trees by rank as one JSON object a line, each as in
// results.json.
func WriteTreeLines(w io.Writer, res *orchard.VisitResult) error {
	enc := json.NewEncoder(w)
	for _, t := range sound(res).Trees {
		if err := enc.Encode(t); err != nil {
			return fmt.Errorf("report: write tree line: %w", err)
		}
	}
	return nil
}
