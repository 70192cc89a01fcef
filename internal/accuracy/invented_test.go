package accuracy

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"rowlight/internal/orchard"
	"rowlight/metrics"
)

// Errors that vanish put every tree in its place; larger ones hold fewer; and the
// rank intervals cover what they promise (issue 5, must hold 2: 90 to 99 %).
func TestInventedRanking(t *testing.T) {
	const orchards = 25
	errors := InventedErrors{
		Sunlit: Wrong{SD: 0.05, Stated: 0.05}, Density: Wrong{SD: 0.02, Stated: 0.02},
		HeightM: Wrong{SD: 0.1, Stated: 0.1}, AlleyM: Wrong{SD: 0.2, Stated: 0.2},
	}
	rank := func(k float64) RankFigures {
		f, err := InventedRanking("", InventedGrown(), orchards, InventedShots{1, 1}, errors.scaled(k))
		if err != nil {
			t.Fatal(err)
		}
		return f
	}
	none, as := rank(1e-6), rank(1)
	if none.Held < 0.999 || none.Needs > 0.2 {
		t.Errorf("without errors %.3f of the top fifth are held, in the top %.2f", none.Held, none.Needs)
	}
	if as.Held >= rank(0.25).Held || as.Held > as.HeldTied {
		t.Errorf("held %.3f with errors, %.3f with a quarter of them, %.3f with ties", as.Held, rank(0.25).Held, as.HeldTied)
	}
	if as.Covered < CoverLow || as.Covered > CoverHigh {
		t.Errorf("%.3f of the true ranks are in their intervals", as.Covered)
	}
	if !reflect.DeepEqual(as, rank(1)) {
		t.Error("the same seed gave another table")
	}
}

func TestTheInventedTableSaysWhatIsMissed(t *testing.T) {
	var b strings.Builder
	if err := PrintInvented(&b, InventedErrors{}, InventedErrors{}, []RankFigures{{Name: asAsked, Held: 0.79, Covered: 0.95}, {Name: asMeasured, Held: 0.95}}); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(b.String(), "95.0 %, holds;") {
		t.Errorf("other photos were judged: %s", b.String())
	}
	if !strings.Contains(b.String(), "79.0 %, MISSED") || !strings.Contains(b.String(), "95.0 %, holds") {
		t.Errorf("%s", b.String())
	}
}

// The errors are read off the rows of each method alone: their mean and standard
// deviation, a floor's over sqrt(p (1-p)), and one all in sun left out.
func TestErrorsOfRows(t *testing.T) {
	row := func(q orchard.Quantity, method string, truth, off, half float64) Row {
		v, lo, hi := truth+off, truth+off-half, truth+off+half
		return Row{Quantity: q, Method: method, Truth: truth, Measured: &v, Low95: &lo, High95: &hi}
	}
	var rows []Row
	for _, s := range []float64{-1, 1, -1, 1} { // standard deviation 2/sqrt(3)
		rows = append(rows,
			row(orchard.SunlitFraction, onePhoto, 0.2, 0.4*(0.01+0.05*s), 0.4*metrics.Z95*0.06),
			row(orchard.DensityFraction, onePhoto, 0.8, 0.03*s, 0.01),
			row(orchard.HeightM, onePhoto, 5, 0.2+0.1*s, metrics.Z95*0.3),
			row(orchard.HeightM, pairMethod, 5, 0.01*s, 0.1),
			row(orchard.ClearWidthM, onePhoto, 2, 0.2*s, 0.1),
			row(orchard.ClearWidthM, pairMethod, 2, 0.1*s, 0.1))
	}
	rows = append(rows, row(orchard.SunlitFraction, onePhoto, 1, 0, 0.01), row(orchard.ClearWidthM, twoBoards, 2, 9, 0.1))
	single, pairs, err := ErrorsOf(rows)
	if err != nil {
		t.Fatal(err)
	}
	sd := 2 / math.Sqrt(3)
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"floor bias", single.Sunlit.Bias, 0.01}, {"floor SD", single.Sunlit.SD, 0.05 * sd}, {"floor stated", single.Sunlit.Stated, 0.06},
		{"density SD", single.Density.SD, 0.03 * sd}, {"density SD, pair", pairs.Density.SD, 0.03 * sd},
		{"height bias", single.HeightM.Bias, 0.2}, {"height SD", single.HeightM.SD, 0.1 * sd}, {"height stated", single.HeightM.Stated, 0.3},
		{"height SD, pair", pairs.HeightM.SD, 0.01 * sd},
		{"alley SD", single.AlleyM.SD, 0.2 * sd}, {"alley SD, pair", pairs.AlleyM.SD, 0.1 * sd},
	} {
		if math.Abs(c.got-c.want) > 1e-9 {
			t.Errorf("%s: %.4f, not %.4f", c.name, c.got, c.want)
		}
	}
	if _, _, err := ErrorsOf(rows[:6]); err == nil {
		t.Error("one photo of each told of a spread")
	}
}
