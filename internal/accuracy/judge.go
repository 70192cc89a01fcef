package accuracy

import (
	"math"

	"rowlight/internal/orchard"
	"rowlight/internal/pipeline"
)

// Row is one quantity of one photo, measured against its truth.
type Row struct {
	File     string
	Set      string
	Kind     orchard.Kind
	Group    string
	Quantity orchard.Quantity
	AtM      *float64
	Method   string
	Truth    float64
	// Measured is nil where the photo was refused or the number is absent.
	Measured, Low95, High95 *float64
	Refused                 bool
	RefuseExpected          bool
	Reason                  string
}

// placeTolM: a profile's value counts for a true place this near.
const placeTolM = 0.26

// Judge lays what the pipeline gave for a case beside its truth.
func Judge(c Case, name string, out pipeline.Outcome) []Row {
	base := Row{File: name, Set: c.Set, Kind: c.Kind, Group: c.Group, RefuseExpected: c.Refuse,
		Refused: out.Status != orchard.Measured, Reason: out.Reason}
	if c.Refuse {
		base.Quantity = c.mainQuantity()
		return []Row{base}
	}
	var rows []Row
	for _, v := range c.Values {
		r := base
		r.Quantity, r.AtM, r.Truth = v.Quantity, v.AtM, v.Truth
		if m := pick(out.Measurements, v); m != nil {
			if (v.Method != "" && m.Method != v.Method) || (v.NotMethod != "" && m.Method == v.NotMethod) {
				continue
			}
			r.Method, r.Measured, r.Low95, r.High95 = m.Method, m.Value, m.Low95, m.High95
			if m.Value == nil {
				r.Reason = m.Absent
			}
		} else if v.Method != "" {
			continue
		}
		rows = append(rows, r)
	}
	return rows
}

func (c Case) mainQuantity() orchard.Quantity {
	switch c.Kind {
	case orchard.Floor:
		return orchard.SunlitFraction
	case orchard.Side:
		return orchard.HeightM
	}
	return orchard.ClearWidthM
}

// pick finds the measurement of a value: the same quantity, and for a profile
// the nearest place.
func pick(ms []orchard.Measurement, v Value) *orchard.Measurement {
	var best *orchard.Measurement
	bestD := placeTolM
	for i := range ms {
		m := &ms[i]
		if m.Quantity != v.Quantity || (m.AtM == nil) != (v.AtM == nil) {
			continue
		}
		if v.AtM == nil {
			return m
		}
		if d := math.Abs(*m.AtM - *v.AtM); d <= bestD {
			best, bestD = m, d
		}
	}
	return best
}
