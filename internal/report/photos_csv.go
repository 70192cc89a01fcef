package report

import (
	"io"
	"strconv"
	"time"

	"rowlight/internal/orchard"
)

// WritePhotosCSV writes photos.csv: a head line and one row a photo, by path,
// with the same columns for the measurements as trees.csv.
func WritePhotosCSV(w io.Writer, res *orchard.VisitResult) error {
	s := sound(res)
	var all [][]orchard.Measurement
	for _, p := range s.Photos {
		all = append(all, p.Measurements)
	}
	cols := columns(all)
	head := []string{"path", "visit", "block", "row", "tree", "kind", "placed_by", "taken_at",
		"status", "reason", "mend"}
	head = append(head, measurementHead(cols)...)
	rows := [][]string{append(head, "boards", "flags", "overlay", "lat_deg", "lon_deg", "sha256")}
	for i := range s.Photos {
		rows = append(rows, photoRow(&s.Photos[i], cols))
	}
	return writeRows(w, rows)
}

func photoRow(p *orchard.Record, cols []quantity) []string {
	row := append([]string{text(p.Path), text(p.Visit)}, treeCells(p.Tree)...)
	row = append(row, text(string(p.Kind)), text(p.PlacedBy), takenAt(p.TakenAt),
		text(string(p.Status)), text(p.Reason), text(p.Mend))
	row = append(row, measurementCells(cols, p.Measurements, p.Find)...)
	boards := make([]string, len(p.Boards))
	for i, b := range p.Boards {
		boards[i] = strconv.Itoa(b)
	}
	return append(row, list(boards), list(p.Flags), text(p.Overlay), place(p.LatDeg), place(p.LonDeg), text(p.SHA256))
}

func takenAt(t *time.Time) string {
	if t == nil {
		return ""
	}
	return t.Format(time.RFC3339)
}
