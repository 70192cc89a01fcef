package accuracy

import (
	"os"
	"path/filepath"
	"strings"

	"rowlight/internal/orchard"
	"rowlight/internal/pipeline"
)

// secondSuffix ends the stem of a stereo pair's second photo.
const secondSuffix = "_b"

// Stereo is a stereo pair with the truth of its first photo.
type Stereo struct {
	Case
	Second string // path of the second JPEG
}

// StereoCases lists the stereo pairs of a folder, sorted by name.
func StereoCases(dir string) ([]Stereo, error) {
	cases, err := Load(dir)
	if err != nil {
		return nil, err
	}
	var out []Stereo
	for _, c := range cases {
		second := strings.TrimSuffix(c.Path, ".jpg") + secondSuffix + ".jpg"
		if _, err := os.Stat(second); err != nil {
			continue
		}
		c.Set += " (pair)"
		c.Values = pairValues(c.Values)
		out = append(out, Stereo{c, second})
	}
	return out, nil
}

// pairValues are those that a pair measures anew.
func pairValues(all []Value) []Value {
	var out []Value
	for _, v := range all {
		switch v.Quantity {
		case orchard.ClearWidthLowAtM, orchard.ClearWidthMiddleAtM, orchard.ClearWidthHighAtM,
			orchard.ClearWidthM, orchard.ClearWidthAtM, orchard.NarrowestM, orchard.NarrowestAtM,
			orchard.HeightM, orchard.CrownBaseM, orchard.CrownWidthM, orchard.WidthAtHeightM:
			if v.Method != twoBoards {
				out = append(out, v)
			}
		}
	}
	return out
}

// JudgeStereo measures a pair and lays what it gave beside the truth.
func JudgeStereo(s Stereo) ([]Row, error) {
	var data [2][]byte
	for i, path := range [2]string{s.Path, s.Second} {
		var err error
		if data[i], err = os.ReadFile(path); err != nil {
			return nil, err
		}
	}
	out := pipeline.MeasurePair(data[0], data[1], s.Kind, pipeline.Env{Set: pipeline.DefaultSettings(), NumbersOnly: true})
	return Judge(s.Case, filepath.Base(s.Path)+" and "+filepath.Base(s.Second), out), nil
}
