package pipeline

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"rowlight/calibrate"
	"rowlight/internal/orchard"
	"rowlight/vision"
)

const sideTruthFolder = "../../../shared/truth/rendered"

// sideTruth is what a photo's JSON says of the tree.
type sideTruth struct {
	Truth struct {
		SameAs    string  `json:"same_as"` // stereo partner: the truth lies there
		HeightM   float64 `json:"height_p999_m"`
		BaseM     float64 `json:"crown_base_1pct_m"`
		WidthM    float64 `json:"max_width_1_99pct_m"`
		SkyGap    float64 `json:"sky_gap_share_in_envelope"`
		NotTarget float64 `json:"not_target_share_in_envelope"`
		ByHeight  []struct {
			AtM    float64  `json:"height_m"`
			WidthM *float64 `json:"width_2_98pct_m"`
		} `json:"width_by_height"`
	} `json:"truth"`
}

func readSideTruth(t *testing.T, stem string) sideTruth {
	t.Helper()
	var out sideTruth
	data, err := os.ReadFile(filepath.Join(sideTruthFolder, stem+".json"))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(data, &out); err != nil {
		t.Fatal(stem, err)
	}
	if s := out.Truth.SameAs; s != "" {
		return readSideTruth(t, s)
	}
	return out
}

func (s sideTruth) of(m orchard.Measurement) (float64, bool) {
	switch m.Quantity {
	case orchard.HeightM:
		return s.Truth.HeightM, true
	case orchard.CrownBaseM:
		return s.Truth.BaseM, true
	case orchard.CrownWidthM:
		return s.Truth.WidthM, true
	case orchard.SkyGapFraction:
		return s.Truth.SkyGap, true
	case orchard.DensityFraction:
		return 1 - s.Truth.NotTarget, true
	case orchard.WidthAtHeightM:
		for _, w := range s.Truth.ByHeight {
			if w.WidthM != nil && m.AtM != nil && math.Abs(w.AtM-*m.AtM) < 0.01 {
				return *w.WidthM, true
			}
		}
	}
	return 0, false
}

// score gathers the errors of one quantity.
type score struct {
	n, inside         int
	bias, abs, worst  float64
	relative, relMost float64
}

func (s *score) add(m orchard.Measurement, want float64) {
	e := *m.Value - want
	s.n++
	s.bias += e
	s.abs += math.Abs(e)
	s.worst = math.Max(s.worst, math.Abs(e))
	s.relative += math.Abs(e) / want
	s.relMost = math.Max(s.relMost, math.Abs(e)/want)
	if *m.Low95 <= want && want <= *m.High95 {
		s.inside++
	}
}

// tunedOn tells whether a photo was looked at while the rules were made; the
// others were only run at the end (the rule for a crown's sides was changed once
// after pair_01 and side_04 had been run).
func tunedOn(stem string) bool {
	for _, s := range []string{"side_00", "side_01", "side_02", "pair_00"} {
		if strings.Contains(stem, s) {
			return true
		}
	}
	return false
}

// Height within 5 % in the mean: the bound is the issue's, the truth the
// rendered photos' own.
func TestSideTruth(t *testing.T) {
	if testing.Short() {
		t.Skip("measures many photos one after another: minutes under the race detector, and nothing for it to find")
	}
	photos, _ := filepath.Glob(filepath.Join(sideTruthFolder, "practice_*side_*.jpg"))
	if len(photos) == 0 {
		t.Skip("SKIPPED: no rendered photos under ../shared/truth/rendered; the side measurement is NOT checked against truth")
	}
	scores := map[bool]map[orchard.Quantity]*score{true: {}, false: {}}
	var height score
	for _, name := range photos {
		stem := strings.TrimSuffix(filepath.Base(name), ".jpg")
		truth, tuned := readSideTruth(t, stem), tunedOn(stem)
		res, err := measureSide(sideTruthShot(t, name))
		if err != nil {
			t.Errorf("%s: %v", stem, err)
			continue
		}
		for _, m := range res.Measurements {
			want, ok := truth.of(m)
			if !ok || m.Value == nil {
				continue
			}
			if scores[tuned][m.Quantity] == nil {
				scores[tuned][m.Quantity] = &score{}
			}
			scores[tuned][m.Quantity].add(m, want)
			if m.Quantity == orchard.HeightM {
				height.add(m, want)
			}
		}
	}
	for _, tuned := range []bool{true, false} {
		for q, s := range scores[tuned] {
			n := float64(s.n)
			t.Logf("tuned on %v: %-18s n %3d bias %+.3f mae %.3f (%.1f %%) worst %.3f (%.1f %%) inside %d of %d",
				tuned, q, s.n, s.bias/n, s.abs/n, 100*s.relative/n, s.worst, 100*s.relMost, s.inside, s.n)
		}
	}
	if mean := height.relative / float64(height.n); !(mean <= 0.05) {
		t.Errorf("height off by %.1f %% in the mean of %d photos, 5 %% allowed", 100*mean, height.n)
	}
}

func sideTruthShot(t *testing.T, name string) Shot {
	t.Helper()
	p, err := vision.Load(name)
	if err != nil {
		t.Fatal(name, err)
	}
	seen, err := vision.Markers(p)
	if err != nil {
		t.Fatal(name, err)
	}
	boards := map[int][]calibrate.MarkerSighting{}
	for _, m := range seen {
		n := calibrate.BoardNumber(m.ID)
		boards[n] = append(boards[n], m)
	}
	return Shot{
		Photo: p, Kind: orchard.Side, Camera: calibrate.PriorCamera(p.W, p.H, 26), Boards: boards,
		Set: ShotSettings{StandHeightM: calibrate.StandHeightM, BoardScale: 1, FloorRadiusM: 1.5},
	}
}
