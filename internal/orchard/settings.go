package orchard

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
)

// hashBytes of a settings hash are kept: 64 bits, far more than an orchard's
// number of settings needs to be told apart.
const hashBytes = 8

// SettingsHash names everything in the orchard file that some photo's numbers
// depend on: place, boards, lenses and the blocks' spacing and direction; not targets,
// weights or names, which only the ranking uses.
func (o *Orchard) SettingsHash() string {
	var blocks []any
	for i := range o.Blocks {
		blocks = append(blocks, shotSettings(&o.Blocks[i]))
	}
	return o.hash(blocks...)
}

// ShotHash names what the numbers of one photo depend on beside its bytes: place,
// boards, lenses, its block's spacing and direction, its tree and kind. A change in another
// block, or a photo added to it, leaves it as it is. Tree nil: unplaced.
func (o *Orchard) ShotHash(tree *TreeID, kind Kind) string {
	if tree == nil {
		return o.hash(kind)
	}
	return o.hash(kind, *tree, shotSettings(o.Block(tree.Block)))
}

func shotSettings(b *Block) any {
	if b == nil {
		return nil
	}
	return []any{b.Key, b.RowSpacingM, b.TreeSpacingM, b.RowDirectionDeg}
}

func (o *Orchard) hash(parts ...any) string {
	place := []any{o.Place.LatDeg, o.Place.LonDeg, o.Place.TimeZone, o.Place.ElevationM}
	// Only checked finite numbers and strings go in, which always marshal.
	all := []any{place, o.Board, parts}
	if len(o.Lenses) > 0 { // a lens calibrated later measures its photos anew
		all = append(all, o.Lenses)
	}
	text, _ := json.Marshal(all)
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:hashBytes])
}
