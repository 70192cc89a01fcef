//go:build matprofile

package pipeline_test

import (
	"testing"

	"gocv.io/x/gocv"

	"rowlight/internal/orchard"
	"rowlight/internal/pipeline"
	"rowlight/vision"
)

// Every kind of shot, good and refused, and the search for cards close what
// they open.
func TestMatLeaksOverWholePhotos(t *testing.T) {
	before := gocv.MatProfile.Count()
	for stem, kind := range map[string]orchard.Kind{
		"practice_floor_00": orchard.Floor, "practice_floor_01": orchard.Floor,
		"practice_side_02": orchard.Side, "practice_alley_05": orchard.Alley,
	} {
		pipeline.Measure(truthPhoto(t, stem), kind, pipeline.Env{Set: pipeline.DefaultSettings()})
	}
	if _, err := vision.Cards(decoded(t, "practice_floor_00").Photo); err != nil {
		t.Fatal(err)
	}
	pipeline.Measure([]byte("no photo"), orchard.Floor, pipeline.Env{Set: pipeline.DefaultSettings()})
	if after := gocv.MatProfile.Count(); after != before {
		t.Errorf("%d Mats open before, %d after", before, after)
	}
}
