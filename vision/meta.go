package vision

import "time"

// Meta is what the file says of how the photo was taken. A field that the file
// does not carry is nil: zero is a value, absence is not.
type Meta struct {
	TakenAt       *time.Time // with the zone below; without one, in UTC
	HasZone       bool       // the file carried the offset from UTC
	LatDeg        *float64   // WGS 84, north positive
	LonDeg        *float64   // east positive
	FocalMM       *float64
	Focal35MM     *float64 // 35 mm equivalent
	Orientation   int      // 1..8 as stored; 1 where absent
	Make, Model   string
	ExposureBias  *float64 // EV
	ExposureSec   *float64
	FNumber       *float64
	ISO           *float64
	SubjectDistM  *float64
	DigitalZoom   *float64
	ImageUniqueID string
}

// F35 returns the 35 mm equivalent or 0 where the file has none.
func (m Meta) F35() float64 {
	if m.Focal35MM == nil {
		return 0
	}
	return *m.Focal35MM
}
