package accuracy

import (
	"math"
	"strings"
	"testing"

	"rowlight/internal/orchard"
	"rowlight/internal/pipeline"
)

func ptr(v float64) *float64 { return &v }

func measured(q orchard.Quantity, v, low, high float64) orchard.Measurement {
	return orchard.Measurement{Quantity: q, Value: &v, Low95: &low, High95: &high}
}

// Errors +0.1, -0.3: bias -0.1, mean absolute 0.2, worst 0.3; one of two
// intervals holds its truth; mean width (0.4 + 0.2)/2.
func TestTableWorkedByHand(t *testing.T) {
	rows := []Row{
		{Set: "s", Kind: orchard.Side, Quantity: orchard.HeightM, Truth: 4, Measured: ptr(4.1), Low95: ptr(3.9), High95: ptr(4.3)},
		{Set: "s", Kind: orchard.Side, Quantity: orchard.HeightM, Truth: 5, Measured: ptr(4.7), Low95: ptr(4.6), High95: ptr(4.8)},
		{Set: "s", Kind: orchard.Side, Quantity: orchard.HeightM, Truth: 3, Refused: true},
	}
	lines := Summarise(rows)
	if len(lines) != 1 {
		t.Fatalf("%d lines, want 1", len(lines))
	}
	l := lines[0]
	if l.Count != 3 || l.Refused != 1 || l.Covered != 1 {
		t.Errorf("count %d, refused %d, covered %d; want 3, 1, 1", l.Count, l.Refused, l.Covered)
	}
	for name, d := range map[string]float64{"bias": l.Bias + 0.1, "mean abs": l.MAE - 0.2, "worst": l.Worst - 0.3, "width": l.WidthMean - 0.3} {
		if math.Abs(d) > 1e-12 {
			t.Errorf("%s off by %g", name, d)
		}
	}
}

func TestARefusedPhotoIsNeverCountedAsRight(t *testing.T) {
	c := Case{Kind: orchard.Floor, Values: []Value{{Quantity: orchard.SunlitFraction, Truth: 0.2}}}
	out := pipeline.Outcome{Status: orchard.Refused, Measurements: []orchard.Measurement{measured(orchard.SunlitFraction, 0.2, 0.1, 0.3)}}
	l := Summarise(Judge(c, "a.jpg", out))[0]
	if l.Refused != 1 || l.Covered != 0 || l.Measured() != 0 {
		t.Errorf("refused %d, covered %d, measured %d; want 1, 0, 0", l.Refused, l.Covered, l.Measured())
	}
}

// A width between two boards is judged by the boards' truth only, one from the
// foliage by the foliage's only.
func TestMethodChoosesItsTruth(t *testing.T) {
	c := Case{Kind: orchard.Alley, Values: []Value{
		{Quantity: orchard.ClearWidthM, Truth: 2.3, NotMethod: twoBoards},
		{Quantity: orchard.ClearWidthM, Truth: 2.0, Method: twoBoards},
	}}
	for method, truth := range map[string]float64{twoBoards: 2.0, "photo": 2.3} {
		m := measured(orchard.ClearWidthM, 2.1, 1.9, 2.3)
		m.Method = method
		rows := Judge(c, "a.jpg", pipeline.Outcome{Status: orchard.Measured, Measurements: []orchard.Measurement{m}})
		if len(rows) != 1 || rows[0].Truth != truth {
			t.Errorf("method %q: rows %v, want one with truth %g", method, rows, truth)
		}
	}
}

func TestTruthOfTheKeptPhotosIsRead(t *testing.T) {
	cases, err := Load("../../testdata/rendered")
	if err != nil {
		t.Fatal(err)
	}
	kinds, refuse := map[orchard.Kind]int{}, 0
	for _, c := range cases {
		kinds[c.Kind]++
		if c.Refuse {
			refuse++
		}
	}
	if kinds[orchard.Floor] != 6 || kinds[orchard.Side] != 2 || kinds[orchard.Alley] != 2 || refuse != 1 {
		t.Errorf("%v and %d to refuse; want 6 floor, 2 side, 2 alley, 1 to refuse", kinds, refuse)
	}
}

func TestCSVHoldsEveryCase(t *testing.T) {
	var b strings.Builder
	rows := []Row{{File: "a.jpg", Quantity: orchard.HeightM, Truth: 4, Measured: ptr(4.1), Low95: ptr(3.9), High95: ptr(4.3)}, {File: "b.jpg", Refused: true, RefuseExpected: true}}
	if err := WriteCSV(&b, rows); err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(b.String()), "\n")
	if len(lines) != 3 || !strings.HasPrefix(lines[1], "a.jpg,,,,height_m,,,4.1,3.9,4.3,4,false,false,") {
		t.Errorf("CSV is %q", lines)
	}
}
