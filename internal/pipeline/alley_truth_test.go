package pipeline

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"

	"rowlight/calibrate"
	"rowlight/internal/orchard"
	"rowlight/vision"
)

// alleyTruthDir holds the rendered photos with exact truth, beside the checkout.
const alleyTruthDir = "../../../shared/truth/rendered"

type alleyTruth struct {
	Truth struct {
		SameAs  string `json:"same_as"`
		AtBoard struct {
			All struct {
				Face float64 `json:"clear_2pct_m"`
			} `json:"all"`
		} `json:"at_board"`
		ByMetre []struct {
			From float64 `json:"from_m"`
			All  struct {
				Face *float64 `json:"clear_2pct_m"`
			} `json:"all"`
		} `json:"by_metre"`
		Narrowest struct {
			M  float64 `json:"clear_m"`
			At float64 `json:"distance_m"`
		} `json:"minimum_2pct"`
		EdgeBoards *struct {
			Outer float64 `json:"outer_edge_to_outer_edge_m"`
		} `json:"edge_boards"`
	} `json:"truth"`
}

func readAlleyTruth(t *testing.T, stem string) alleyTruth {
	t.Helper()
	var out alleyTruth
	data, err := os.ReadFile(filepath.Join(alleyTruthDir, stem+".json"))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(data, &out); err != nil {
		t.Fatal(err)
	}
	return out
}

func alleyShot(t *testing.T, stem string) Shot {
	t.Helper()
	p, err := vision.Load(filepath.Join(alleyTruthDir, stem+".jpg"))
	if err != nil {
		t.Fatal(err)
	}
	seen, err := vision.Markers(p)
	if err != nil {
		t.Fatal(err)
	}
	boards, err := vision.GroupBoards(seen)
	if err != nil {
		t.Fatal(err)
	}
	sun, _ := sunAt(p.Meta, Env{})
	return Shot{
		Photo: p, Kind: orchard.Alley, Sun: sun, Boards: boards,
		// 26 mm is what the photos' EXIF says (their README).
		Camera: calibrate.PriorCamera(p.FullW, p.FullH, 26),
		Set:    ShotSettings{StandHeightM: calibrate.StandHeightM, BoardScale: 1},
	}
}

// tally sums errors of one quantity over a group of photos.
type tally struct {
	n, inside        int
	bias, abs, worst float64
}

func (s *tally) add(m orchard.Measurement, truth float64) {
	e := *m.Value - truth
	s.n++
	s.bias += e
	s.abs += math.Abs(e)
	s.worst = math.Max(s.worst, math.Abs(e))
	if truth >= *m.Low95 && truth <= *m.High95 {
		s.inside++
	}
}

func (s *tally) String() string {
	n := math.Max(1, float64(s.n))
	return fmt.Sprintf("n %d  bias %+.3f  mean abs %.3f  worst %.3f  inside %d", s.n, s.bias/n, s.abs/n, s.worst, s.inside)
}

// The bounds are the issue's: clear width at the board within 0.25 m mean from
// one photo, the truth inside the 95 % interval in at least 9 of 10. Scenes 00 to 02
// were looked at while the method was built; 03 to 05 only checked, but all twelve
// had been in view when an earlier form of it was settled, so this shows no accuracy
// on unseen photos.
// Photos with boards at the edges are judged twice: by the boards, and by the
// middle board alone.
func TestAlleyTruth(t *testing.T) {
	if testing.Short() {
		t.Skip("measures many photos one after another: minutes under the race detector, and nothing for it to find")
	}
	if _, err := os.Stat(alleyTruthDir); err != nil {
		t.Skipf("TRUTH NOT HERE: %s is missing, so the clear width's accuracy is not tested", alleyTruthDir)
	}
	const mostMeanM, leastInside = 0.25, 0.9
	tallies := map[string]*tally{}
	at := func(name string) *tally {
		if tallies[name] == nil {
			tallies[name] = &tally{}
		}
		return tallies[name]
	}
	for i := range 6 {
		group := "tuned on (00-02)"
		if i > 2 {
			group = "checked (03-05)"
		}
		whole := readAlleyTruth(t, fmt.Sprintf("practice_alley_%02d", i)).Truth
		for _, suffix := range []string{"", "_b"} {
			stem := fmt.Sprintf("practice_alley_%02d%s", i, suffix)
			s := alleyShot(t, stem)
			res, err := measureAlley(s)
			if err != nil {
				t.Errorf("%s: %v", stem, err)
				continue
			}
			tallyAlley(t, stem, res, group, suffix == "", whole.EdgeBoards != nil, at, whole.AtBoard.All.Face, whole.Narrowest.M)
			if whole.EdgeBoards != nil {
				checkEdgeBoards(t, stem, res, whole.EdgeBoards.Outer, at)
				judgeAlone(t, stem, s, group, whole.AtBoard.All.Face, at)
			}
			if suffix == "" {
				for _, w := range whole.ByMetre {
					if m := profileAt(res.Measurements, w.From+0.5); m != nil && w.All.Face != nil {
						at(group+" by metre").add(*m, *w.All.Face)
					}
				}
			}
		}
	}
	for name, s := range tallies {
		t.Logf("%-28s %s", name, s)
	}
	s := at("all at board, photo")
	if mean := s.abs / float64(s.n); mean > mostMeanM {
		t.Errorf("mean absolute error %.3f m, at most %.2f", mean, mostMeanM)
	}
	if share := float64(s.inside) / float64(s.n); share < leastInside {
		t.Errorf("truth inside the interval in %d of %d photos, at least 9 of 10 asked", s.inside, s.n)
	}
}

func tallyAlley(t *testing.T, stem string, res ShotResult, group string, first, edge bool, at func(string) *tally, face, narrow float64) {
	t.Helper()
	for _, m := range res.Measurements {
		switch {
		case m.Value == nil:
			continue
		case m.Quantity == orchard.ClearWidthM && !edge:
			t.Logf("%s: %s %.2f [%.2f %.2f], truth %.2f", stem, m.Method, *m.Value, *m.Low95, *m.High95, face)
			at(group+" at board, photo").add(m, face)
			at("all at board, photo").add(m, face)
		case m.Quantity == orchard.NarrowestM && first:
			at(group+" narrowest").add(m, narrow)
		}
	}
}

// checkEdgeBoards: corners of 0.3 px on boards 120 px wide leave 3 mm a metre;
// the scene's README says the boards touch the innermost leaf, so 2 % of the
// width and a centimetre for the corners are ample.
func checkEdgeBoards(t *testing.T, stem string, res ShotResult, truth float64, at func(string) *tally) {
	t.Helper()
	for _, m := range res.Measurements {
		if m.Quantity != orchard.ClearWidthM {
			continue
		}
		if m.Method != "two boards" || m.Value == nil {
			t.Errorf("%s: two boards stand at the edges, method %q", stem, m.Method)
			return
		}
		t.Logf("%s: two boards %.3f [%.3f %.3f], truth %.3f", stem, *m.Value, *m.Low95, *m.High95, truth)
		at("two boards").add(m, truth)
		if math.Abs(*m.Value-truth) > 0.01+0.02*truth {
			t.Errorf("%s: two boards %.3f m, truth %.3f m", stem, *m.Value, truth)
		}
	}
}

// judgeAlone measures the photos with edge boards by the middle board alone; the
// outer ones then are things that stand in the alley.
func judgeAlone(t *testing.T, stem string, s Shot, group string, face float64, at func(string) *tally) {
	t.Helper()
	scene, view, err := newAlleyScene(s)
	if err != nil {
		t.Errorf("%s: %v", stem, err)
		return
	}
	a, err := scene.fit(view, s.Set)
	if err != nil {
		t.Errorf("%s: %v", stem, err)
		return
	}
	e := a.ClearAt(scene.boardYM)
	t.Logf("%s: photo alone %.2f [%.2f %.2f], truth %.2f", stem, e.Value, e.Low95, e.High95, face)
	m := orchard.Measurement{Value: &e.Value, Low95: &e.Low95, High95: &e.High95}
	at(group+" at board, photo").add(m, face)
	at("all at board, photo").add(m, face)
}

func profileAt(ms []orchard.Measurement, atM float64) *orchard.Measurement {
	for i, m := range ms {
		if m.Quantity == orchard.ClearWidthAtM && m.AtM != nil && math.Abs(*m.AtM-atM) < 0.01 {
			return &ms[i]
		}
	}
	return nil
}
