// Package accuracy judges the pipeline against photos whose answer is known:
// folders of JPEGs with a JSON of the same stem (DEVELOPERS.md, "Truth").
package accuracy

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"sort"
	"strings"

	"rowlight/internal/orchard"
	"rowlight/internal/pipeline"
)

// Case is one photo with its truth.
type Case struct {
	Path   string // of the JPEG
	Set    string // the stem before the kind, without numbers: "practice", "practice_c"
	Kind   orchard.Kind
	Refuse bool   // the truth says that no number may be given
	Group  string // floor: its case (partial, sunlit, ...); others: empty
	Values []Value
	// RowSpacingM and TreeSpacingM are what an orchard file would say; 0 where the
	// truth does not tell.
	RowSpacingM, TreeSpacingM float64
}

// Value is one true number.
type Value struct {
	Quantity orchard.Quantity
	AtM      *float64 // profile place
	Truth    float64
	// Method limits the value to measurements made this way; empty is any.
	Method string
	// NotMethod leaves out measurements made this way.
	NotMethod string
}

type truthFile struct {
	Kind     orchard.Kind `json:"kind"`
	Case     string       `json:"case"`
	Expected string       `json:"expected"`
	Truth    truthBody    `json:"truth"`
	Design   struct {
		PinchM       float64 `json:"pinch_m"`
		RowSpacingM  float64 `json:"row_spacing_m"`
		TreeSpacingM float64 `json:"spacing_m"`
	} `json:"design"`
}

type truthBody struct {
	SameAs   string   `json:"same_as"`
	Floor    *float64 `json:"sun_fraction_within_1p5m_of_board"`
	Height   *float64 `json:"height_p999_m"`
	Base     *float64 `json:"crown_base_1pct_m"`
	MaxWidth *float64 `json:"max_width_1_99pct_m"`
	SkyGap   *float64 `json:"sky_gap_share_in_envelope"`
	NotOwn   *float64 `json:"not_target_share_in_envelope"`
	TopIn    *bool    `json:"top_in_frame"`
	Widths   []struct {
		HeightM float64  `json:"height_m"`
		WidthM  *float64 `json:"width_2_98pct_m"`
	} `json:"width_by_height"`
	ByMetre []struct {
		FromM float64 `json:"from_m"`
		ToM   float64 `json:"to_m"`
		All   *clear  `json:"all"`
		Low   *clear  `json:"z0_1"`
		Mid   *clear  `json:"z1_2"`
		High  *clear  `json:"z2_3"`
	} `json:"by_metre"`
	AtBoard *struct {
		All *clear `json:"all"`
	} `json:"at_board"`
	Narrowest *struct {
		ClearM    float64 `json:"clear_m"`
		DistanceM float64 `json:"distance_m"`
	} `json:"minimum_2pct"`
	EdgeBoards *struct {
		OuterM float64 `json:"outer_edge_to_outer_edge_m"`
	} `json:"edge_boards"`
}

type clear struct {
	Face2Pct *float64 `json:"clear_2pct_m"`
}

// Load reads every case of a folder, sorted by name. Photos without a JSON, and
// JSONs of another kind, are passed over.
func Load(dir string) ([]Case, error) {
	paths, err := filepath.Glob(filepath.Join(dir, "*.json"))
	if err != nil {
		return nil, fmt.Errorf("accuracy: list %s: %w", dir, err)
	}
	sort.Strings(paths)
	var out []Case
	for _, p := range paths {
		c, ok, err := loadCase(p)
		if err != nil {
			return nil, err
		}
		if ok {
			out = append(out, c)
		}
	}
	return out, nil
}

func loadCase(path string) (Case, bool, error) {
	stem := strings.TrimSuffix(path, ".json")
	if _, err := os.Stat(stem + ".jpg"); err != nil {
		return Case{}, false, nil
	}
	t, err := readTruth(path)
	if err != nil {
		return Case{}, false, err
	}
	c := Case{Path: stem + ".jpg", Kind: t.Kind, Set: setOf(filepath.Base(stem), t.Kind)}
	if t.Truth.SameAs != "" {
		c.Set += " (second photo)"
		partner, err := readTruth(filepath.Join(filepath.Dir(path), filepath.Base(t.Truth.SameAs)+".json"))
		if err != nil {
			return Case{}, false, err
		}
		t.Truth = partner.Truth.seenFromElsewhere()
	}
	c.Refuse = strings.HasPrefix(t.Expected, "refuse")
	c.Group = t.Case
	c.RowSpacingM, c.TreeSpacingM = t.Design.RowSpacingM, t.Design.TreeSpacingM
	c.Values = t.Truth.values()
	if at := t.pinchAt(); at != nil {
		c.Values = append(c.Values, Value{Quantity: orchard.NarrowestAtM, Truth: *at})
	}
	return c, len(c.Values) > 0 || c.Refuse, nil
}

// pinchLeastM: an alley drawn with less of a pinch is about as narrow elsewhere, by
// chance of leaves, and has no one narrowest place.
const pinchLeastM = 0.3

// pinchAt is where an alley with a pinch is narrowest, seen from where the truth was
// taken; nil without one.
func (t truthFile) pinchAt() *float64 {
	if n := t.Truth.Narrowest; n != nil && t.Design.PinchM >= pinchLeastM && t.Truth.ByMetre != nil {
		return &n.DistanceM
	}
	return nil
}

func readTruth(path string) (truthFile, error) {
	var t truthFile
	data, err := os.ReadFile(path)
	if err != nil {
		return t, fmt.Errorf("accuracy: read truth: %w", err)
	}
	if err := json.Unmarshal(data, &t); err != nil {
		return t, fmt.Errorf("accuracy: %s: %w", path, err)
	}
	return t, nil
}

// seenFromElsewhere keeps what does not depend on where the camera stood.
func (b truthBody) seenFromElsewhere() truthBody {
	b.ByMetre, b.SkyGap, b.NotOwn, b.Floor = nil, nil, nil, nil
	return b
}

// setOf is the stem before its kind, less running numbers.
func setOf(stem string, kind orchard.Kind) string {
	at := strings.Index(stem, "_"+string(kind))
	if at < 0 {
		return stem
	}
	return regexp.MustCompile(`_\d+`).ReplaceAllString(stem[:at], "")
}

func (b truthBody) values() []Value {
	var out []Value
	add := func(q orchard.Quantity, v *float64) {
		if v != nil {
			out = append(out, Value{Quantity: q, Truth: *v})
		}
	}
	add(orchard.SunlitFraction, b.Floor)
	if b.TopIn == nil || *b.TopIn {
		add(orchard.HeightM, b.Height)
	}
	add(orchard.CrownBaseM, b.Base)
	add(orchard.CrownWidthM, b.MaxWidth)
	add(orchard.SkyGapFraction, b.SkyGap)
	if b.NotOwn != nil {
		own := 1 - *b.NotOwn
		add(orchard.DensityFraction, &own)
	}
	for _, w := range b.Widths {
		if w.WidthM != nil {
			out = append(out, Value{Quantity: orchard.WidthAtHeightM, AtM: &w.HeightM, Truth: *w.WidthM})
		}
	}
	return append(out, b.alleyValues()...)
}

// twoBoards is the method of a width taken between two boards' outer edges.
const twoBoards = "two boards"

func (b truthBody) alleyValues() []Value {
	var out []Value
	if b.AtBoard != nil && b.AtBoard.All != nil && b.AtBoard.All.Face2Pct != nil {
		out = append(out, Value{Quantity: orchard.ClearWidthM, Truth: *b.AtBoard.All.Face2Pct, NotMethod: twoBoards})
	}
	if b.EdgeBoards != nil {
		out = append(out, Value{Quantity: orchard.ClearWidthM, Truth: b.EdgeBoards.OuterM, Method: twoBoards})
	}
	if b.Narrowest != nil {
		out = append(out, Value{Quantity: orchard.NarrowestM, Truth: b.Narrowest.ClearM})
	}
	for _, m := range b.ByMetre {
		out = append(out, bandValues((m.FromM+m.ToM)/2, m.Low, m.Mid, m.High)...)
		if m.All != nil && m.All.Face2Pct != nil {
			mid := (m.FromM + m.ToM) / 2
			out = append(out, Value{Quantity: orchard.ClearWidthAtM, AtM: &mid, Truth: *m.All.Face2Pct})
		}
	}
	return out
}

// bandValues are a metre's clear widths by height; only pairs of photos give them.
func bandValues(atM float64, bands ...*clear) []Value {
	var out []Value
	for i, q := range [...]orchard.Quantity{orchard.ClearWidthLowAtM, orchard.ClearWidthMiddleAtM, orchard.ClearWidthHighAtM} {
		if c := bands[i]; c != nil && c.Face2Pct != nil {
			out = append(out, Value{Quantity: q, AtM: &atM, Truth: *c.Face2Pct, Method: pairMethod})
		}
	}
	return out
}

// pairMethod is the method of a pair's numbers.
const pairMethod = pipeline.PairMethod
