package metrics

import (
	"math"
	"testing"

	"rowlight/calibrate"
)

// A share's parts at another zenith: the photo's are stretched by d P'/d P = K P'/P
// (P' = P^K), here told from the stretched interval; the leaf angle adds its own.
func TestNormalisedShareKeepsItsParts(t *testing.T) {
	e := FromShare(0.2, 0.01, 0.01)
	e.Parts = []calibrate.Part{{Name: PartLight, SD: 0.008}, {Name: PartHidden, SD: 0.006}}
	got := NormaliseSunlitEstimate(e, 50, 20)
	k := math.Log(got.Value) / math.Log(0.2)
	want := k * got.Value / 0.2 * 0.01
	var photo, leaf float64
	for _, p := range got.Parts {
		if p.Name == PartLeafAngle {
			leaf = p.SD
		} else {
			photo = math.Hypot(photo, p.SD)
		}
	}
	if math.Abs(photo-want) > 0.03*want { // the interval is finite, the slope is not
		t.Errorf("the photo's part is %.5f, want about %.5f", photo, want)
	}
	if flat := NormaliseSunlit(0.2, 50, 20, FlatX); math.Abs(leaf-math.Abs(flat-got.Value)/Z95) > 1e-12 || leaf == 0 {
		t.Errorf("the leaf angle's part is %.5f, flat leaves give %.4f against %.4f", leaf, flat, got.Value)
	}
}
