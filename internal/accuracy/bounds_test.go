package accuracy

import (
	"math"
	"strings"
	"testing"

	"rowlight/internal/orchard"
)

func height(file string, truth, got, low, high float64) Row {
	return Row{File: file, Kind: orchard.Side, Quantity: orchard.HeightM, Truth: truth, Method: "photo", Measured: &got, Low95: &low, High95: &high}
}

// Errors of 0.1 in 4 m and 0.3 in 5 m: relative 2.5 and 6 %, mean 4.25 %.
func TestBoundsWorkedByHand(t *testing.T) {
	rows := []Row{height("a", 4, 4.1, 3.9, 4.3), height("b", 5, 4.7, 4.6, 4.8),
		{File: "c", Kind: orchard.Side, Quantity: orchard.HeightM, Truth: 3, Refused: true}}
	for _, c := range []struct {
		b     Bound
		value float64
		holds bool
	}{
		{Bound{Kind: orchard.Side, Quantity: orchard.HeightM, Figure: MeanRel, Limit: 0.05}, 0.0425, true},
		{Bound{Kind: orchard.Side, Quantity: orchard.HeightM, Figure: WorstRel, Limit: 0.05}, 0.06, false},
		{Bound{Kind: orchard.Side, Quantity: orchard.HeightM, Figure: GoodRefused, Limit: 0.05}, 1.0 / 3, false},
		{Bound{Kind: orchard.Side, Quantity: orchard.HeightM, Figure: MeanAbs, Limit: 0.25}, 0.2, true},
	} {
		v := Hold([]Bound{c.b}, rows)[0]
		if math.Abs(v.Value-c.value) > 1e-12 || v.Holds != c.holds {
			t.Errorf("%s: %g, holds %v; want %g, %v", v.name(), v.Value, v.Holds, c.value, c.holds)
		}
	}
}

// A bound on one method takes no other's numbers, and without a case has no verdict.
func TestABoundWithoutCasesIsNotMissed(t *testing.T) {
	w := 3.0
	rows := []Row{{File: "a", Kind: orchard.Alley, Quantity: orchard.ClearWidthM, Truth: 2, Method: "photo", Measured: &w}}
	vs := Hold([]Bound{{Kind: orchard.Alley, Quantity: orchard.ClearWidthM, Method: pairOf, Figure: MeanAbs, Limit: 0.1},
		{Kind: orchard.Alley, Quantity: orchard.ClearWidthM, Method: onePhoto, Figure: MeanAbs, Limit: 0.1}}, rows)
	if vs[0].Cases != 0 || vs[1].Cases != 1 || Missed(vs) != 1 {
		t.Errorf("%+v: want no case for the pair and one missed for the photo", vs)
	}
	var b strings.Builder
	if err := PrintBounds(&b, vs); err != nil || !strings.Contains(b.String(), "no case") || !strings.Contains(b.String(), "MISSED") {
		t.Errorf("printed %q, %v", b.String(), err)
	}
}

// Overcast photos that were measured are missed refusals.
func TestBadPhotosMustAllBeRefused(t *testing.T) {
	rows := []Row{{Kind: orchard.Floor, Quantity: orchard.SunlitFraction, RefuseExpected: true, Refused: true},
		{Kind: orchard.Floor, Quantity: orchard.SunlitFraction, RefuseExpected: true}}
	v := Hold([]Bound{{Kind: orchard.Floor, Quantity: orchard.SunlitFraction, Figure: BadRefused, Limit: 1}}, rows)[0]
	if v.Holds || v.Cases != 2 {
		t.Errorf("one of two measured: %+v", v)
	}
}

// Binomial tails by hand: P(X <= 1 | 3, 0.5) = 1/8 + 3/8; 12 of 12 at 0.99 comes
// 0.886 of the times, 8 of 12 or fewer at 0.9 in 0.026, 9 or fewer in 0.111 (table
// of the binomial distribution, n = 12, p = 0.9).
func TestCoverageAllowsForChance(t *testing.T) {
	for _, c := range []struct {
		k, n int
		p, w float64
	}{{1, 3, 0.5, 0.5}, {11, 12, 0.99, 1 - 0.8864}, {8, 12, 0.9, 0.0256}, {9, 12, 0.9, 0.1109}} {
		if got := binomialAtMost(c.k, c.n, c.p); math.Abs(got-c.w) > 5e-5 {
			t.Errorf("%d or fewer of %d at %g: %.4f, want %.4f", c.k, c.n, c.p, got, c.w)
		}
	}
	for share, want := range map[float64]bool{1: true, 9.0 / 12: true, 8.0 / 12: false} {
		if got := plausible(share, 12); got != want {
			t.Errorf("%.2f of 12 photos: plausible %v, want %v", share, got, want)
		}
	}
	if plausible(1, 400) {
		t.Error("400 of 400 is more than 99 %")
	}
}

// The table replaces what stood between the marks, and nothing else; twice is once.
func TestTableGoesBetweenItsMarks(t *testing.T) {
	vs := []Verdict{{Bound: Bound{Kind: orchard.Side, Quantity: orchard.HeightM, Figure: MeanRel, Limit: 0.02}, Cases: 3, Photos: 3, Value: 0.034}}
	readme := []byte("before\n" + tableBegins + "\nold\n" + tableEnds + "\nafter\n")
	once, err := PutTable(readme, vs)
	if err != nil {
		t.Fatal(err)
	}
	twice, err := PutTable(once, vs)
	if err != nil || string(twice) != string(once) {
		t.Errorf("put in twice: %v\n%s", err, twice)
	}
	for _, want := range []string{"before\n", "| side height m: mean error | any | 3.4 % | at most 2.0 % | 3 | **missed** |", "\nafter\n"} {
		if !strings.Contains(string(once), want) {
			t.Errorf("%q is missing in\n%s", want, once)
		}
	}
	if strings.Contains(string(once), "old") {
		t.Error("the old table is still there")
	}
	if _, err := PutTable([]byte("no marks"), vs); err == nil {
		t.Error("a README without marks was written")
	}
}
