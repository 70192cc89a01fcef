package orchard

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
)

// How far off a tape may be where measured.csv does not say, half a 95 % interval
// (common practice: a leafy face has no sharp edge, and a pole held to a top is
// read from below).
const (
	tapeWidthHalf95M  = 0.10
	tapeHeightHalf95M = 0.20
	// maxTapeM is above any width or height in an orchard.
	maxTapeM = 40.0
)

// Tape is a row of measured.csv: a measurement made by hand.
type Tape struct {
	Tree        TreeID
	Visit       string
	Measurement Measurement // Method "tape"; its interval clipped at 0
	Note        string
	Line        int
}

// LoadMeasured reads the measured.csv of an orchard folder; none is no error. Rows
// that cannot be used come as problems, the rest is returned.
func LoadMeasured(dir string, o *Orchard) ([]Tape, Problems, error) {
	data, err := os.ReadFile(filepath.Join(dir, MeasuredFile))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil, nil
	}
	if err != nil {
		return nil, nil, fmt.Errorf("orchard: read %s: %w", MeasuredFile, err)
	}
	tapes, problems := ParseMeasured(MeasuredFile, data, o)
	return tapes, problems, nil
}

// ParseMeasured reads the text of a measured.csv: columns block, row, tree, visit,
// quantity, value_m, uncertainty_m (may be empty), note, by name in any order.
func ParseMeasured(name string, data []byte, o *Orchard) ([]Tape, Problems) {
	s := readSheet(name, data, []string{"block", "row", "tree", "visit", "quantity", "value_m"}, []string{"uncertainty_m", "note"})
	var tapes []Tape
	first := map[string]int{} // line by tree, visit and quantity
	for _, r := range s.rows {
		t, ok := r.tape(o)
		if !ok {
			continue
		}
		key := fmt.Sprint(t.Tree, t.Visit, t.Measurement.Quantity)
		if line, twice := first[key]; twice {
			r.refuse(fmt.Sprintf("%s of %s at visit %s stands on line %d already", r.cell("quantity"), t.Tree.Words(), t.Visit, line), "keep one of the two")
			continue
		}
		first[key] = r.line
		tapes = append(tapes, t)
	}
	return tapes, s.problems
}

func (r *sheetRow) tape(o *Orchard) (t Tape, ok bool) {
	t = Tape{Visit: r.cell("visit"), Note: r.cell("note"), Line: r.line}
	if t.Tree, ok = r.tree(o); !ok {
		return t, false
	}
	if CheckVisit(t.Visit) != nil {
		r.refuse(fmt.Sprintf("visit is %q", t.Visit), "give the visit's folder, as 2026-03-14")
		return t, false
	}
	q, half := tapeQuantity(r.cell("quantity"))
	if q == "" {
		r.refuse(fmt.Sprintf("quantity is %q", r.cell("quantity")), "give width, height or clear_alley")
		return t, false
	}
	value, ok := r.metres("value_m", 0)
	if !ok {
		return t, false
	}
	if half, ok = r.metres("uncertainty_m", half); !ok {
		return t, false
	}
	low, high := math.Max(value-half, 0), value+half
	t.Measurement = Measurement{
		Quantity: q, Unit: "m", Value: &value, Low95: &low, High95: &high, Method: "tape",
		Flags: []string{fmt.Sprintf("measured by tape (%s line %d)", r.sheet.name, r.line)},
	}
	return t, true
}

// tapeQuantity returns the quantity of a word in measured.csv and the half 95 %
// interval of a tape for it; "" for another word.
func tapeQuantity(word string) (Quantity, float64) {
	switch strings.ReplaceAll(strings.ToLower(word), " ", "_") {
	case "width":
		return CrownWidthM, tapeWidthHalf95M
	case "height":
		return HeightM, tapeHeightHalf95M
	case "clear_alley", "alley", "clear_width":
		return ClearWidthM, tapeWidthHalf95M
	}
	return "", 0
}

// metres reads a length above 0; an empty cell gives def where that is not 0. A
// decimal comma will do.
func (r *sheetRow) metres(column string, def float64) (float64, bool) {
	text := r.cell(column)
	if text == "" && def != 0 {
		return def, true
	}
	x, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	if err != nil || !(x > 0 && x <= maxTapeM) {
		r.refuse(fmt.Sprintf("%s is %q", column, text), fmt.Sprintf("give metres above 0, at most %g, as 1.85", maxTapeM))
		return 0, false
	}
	return x, true
}
