package report

import (
	"fmt"

	"rowlight/internal/orchard"
)

// meansView is a block's means, as the page shows them.
type meansView struct {
	Title string
	Rows  []meanRow
}

type meanRow struct{ Label, Value, Interval, From string }

// blockMeans puts the means under each block's title, in the layout's order.
func blockMeans(res *orchard.VisitResult, l Layout) []meansView {
	var out []meansView
	for _, b := range l.Blocks {
		v := meansView{Title: b.title()}
		for _, m := range res.Blocks {
			if m.Block == b.Key {
				v.Rows = append(v.Rows, newMeanRow(m))
			}
		}
		if len(v.Rows) > 0 {
			out = append(out, v)
		}
	}
	return out
}

func newMeanRow(m orchard.BlockMean) meanRow {
	as := orchard.Measurement{Quantity: m.Quantity, Unit: m.Unit, Value: &m.Value, Low95: &m.Value, High95: &m.Value}
	if m.Low95 != nil {
		as.Low95, as.High95 = m.Low95, m.High95
	}
	q := known(as)
	s := show(as, q.Form)
	row := meanRow{Label: q.Label, Value: s.Value + space + s.Unit, From: fmt.Sprintf("%d%strees, %d%sphotos or tapes", m.Trees, space, m.Photos, space)}
	row.Interval = "one tree: no telling"
	if m.Low95 != nil {
		row.Interval = s.Interval + space + s.Unit
	}
	return row
}
