package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"rowlight/internal/orchard"
)

// kinds are the three that are mixed, in the order a tree's photos are taken.
func kinds() []orchard.Kind { return []orchard.Kind{orchard.Floor, orchard.Side, orchard.Alley} }

// drawn is one scene.
type drawn struct {
	kind orchard.Kind
	data []byte
}

// truth is what is read of the JSON that cmd/wideset writes beside a photo.
type truth struct {
	Kind   orchard.Kind `json:"kind"`
	Image  string       `json:"image"`
	Sky    string       `json:"sky"`
	Camera struct {
		Width  int `json:"width"`
		Height int `json:"height"`
	} `json:"camera"`
	Truth struct {
		TopInFrame *bool `json:"top_in_frame"`
	} `json:"truth"`
}

// 12 megapixels, give or take the format.
const leastPixels, mostPixels = 11.5e6, 12.5e6

// fit tells whether a scene is one that a scout would come home with: under a sun, the
// whole tree in view. Others are refused early, which costs next to nothing and would
// flatter the bench. It asks the drawing, never the program that is measured.
func (t truth) fit() bool {
	px := float64(t.Camera.Width * t.Camera.Height)
	whole := t.Truth.TopInFrame == nil || *t.Truth.TopInFrame
	return t.Sky != "overcast" && whole && px >= leastPixels && px <= mostPixels
}

// scenes reads the first so many fit scenes of each kind, by name.
func scenes(dir string, perKind int) (map[orchard.Kind][]drawn, error) {
	names, err := filepath.Glob(filepath.Join(dir, "*.json"))
	if err != nil {
		return nil, err
	}
	slices.Sort(names)
	out := map[orchard.Kind][]drawn{}
	for _, name := range names {
		t, err := readTruth(name)
		if err != nil {
			return nil, err
		}
		if !t.fit() || len(out[t.Kind]) == perKind {
			continue
		}
		data, err := os.ReadFile(filepath.Join(dir, t.Image))
		if err != nil {
			return nil, err
		}
		out[t.Kind] = append(out[t.Kind], drawn{t.Kind, data})
	}
	for _, k := range kinds() {
		if n := len(out[k]); n < perKind {
			return nil, fmt.Errorf("%s holds %d fit 12-megapixel scenes of kind %s, %d wanted: draw more (cmd/wideset -long 4000)", dir, n, k, perKind)
		}
	}
	return out, nil
}

func readTruth(name string) (truth, error) {
	var t truth
	data, err := os.ReadFile(name)
	if err != nil {
		return t, err
	}
	if err := json.Unmarshal(data, &t); err != nil {
		return t, fmt.Errorf("read truth %s: %w", name, err)
	}
	if t.Image != filepath.Base(t.Image) || strings.TrimSpace(t.Image) == "" {
		return t, fmt.Errorf("read truth %s: image %q is no name of a file", name, t.Image)
	}
	return t, nil
}
