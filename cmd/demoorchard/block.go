package main

import (
	"rowlight/internal/orchard"
	"rowlight/internal/scene"
)

// guards is how many trees, of no interest to the survey, go on beyond each end
// of a row.
const guards = 2

// block is a planting grown.
type block struct {
	planting
	trees  map[orchard.TreeID]*scene.Tree // as first seen
	beyond []*scene.Tree
}

// grow grows a planting.
func grow(p planting, seed uint64) *block {
	b := &block{planting: p, trees: map[orchard.TreeID]*scene.Tree{}}
	for r, row := range p.rows {
		for t := 1 - guards; t <= len(row)+guards; t++ {
			id := orchard.TreeID{Block: p.key, Row: r + 1, Tree: t}
			if t >= 1 && t <= len(row) {
				b.trees[id] = scene.Grow(b.spec(id, row[t-1], seed))
				continue
			}
			s := b.spec(id, row[min(max(t, 1), len(row))-1], seed)
			s.LeafAreaM2, s.HeightM, s.Coarse = min(s.LeafAreaM2, 60), min(s.HeightM, 5.2), 1.4
			s.AcrossM = min(s.AcrossM, 2.2)
			b.beyond = append(b.beyond, scene.Grow(s))
		}
	}
	return b
}

func (b *block) spec(id orchard.TreeID, p plant, seed uint64) scene.TreeSpec {
	return scene.TreeSpec{
		At: b.trunk(id), RowAzimuthDeg: b.directionDeg,
		HeightM: p.heightM, BaseM: p.baseM, AlongM: p.alongM, AcrossM: p.acrossM,
		Form: p.form, LeafAreaM2: p.leafAreaM2,
		Seed: seed ^ uint64(b.key[1])<<16 ^ uint64(id.Row)<<8 ^ uint64(id.Tree+guards),
	}
}

// trunk returns where a tree stands; row 1 tree 1 is the block's origin, later
// rows lie to the right.
func (b *block) trunk(id orchard.TreeID) scene.Vec3 {
	along := scene.Heading(b.directionDeg).Scale(float64(id.Tree-1) * b.treeSpacingM)
	return along.Add(scene.Heading(b.directionDeg + 90).Scale(float64(id.Row-1) * b.rowSpacingM))
}

// alley returns the place in the middle of the alley beside a tree.
func (b *block) alley(id orchard.TreeID) scene.Vec3 {
	return b.trunk(id).Add(b.toAlley(id).Scale(b.rowSpacingM / 2))
}

// toAlley points from a tree to the alley between the two rows.
func (b *block) toAlley(id orchard.TreeID) scene.Vec3 {
	if id.Row == 1 {
		return scene.Heading(b.directionDeg + 90)
	}
	return scene.Heading(b.directionDeg - 90)
}

// at returns the block's trees as they stood at a visit.
func (b *block) at(visit string) map[orchard.TreeID]*scene.Tree {
	now := map[orchard.TreeID]*scene.Tree{}
	for id, t := range b.trees {
		now[id] = t
		pruned := b.rows[id.Row-1][id.Tree-1].pruned
		if visit == visitBefore || pruned == nil {
			continue
		}
		along, alley := scene.Heading(b.directionDeg), b.toAlley(id)
		now[id] = t.Pruned(func(p scene.Vec3) bool {
			d := p.Sub(t.Spec.At)
			return pruned(cut{d.Dot(along), d.Dot(alley), d.Z})
		})
	}
	return now
}

// ids returns the survey's trees in walking order: up row 1, down row 2.
func (b *block) ids() []orchard.TreeID {
	var out []orchard.TreeID
	for r, row := range b.rows {
		for t := range row {
			n := t + 1
			if r%2 == 1 {
				n = len(row) - t
			}
			out = append(out, orchard.TreeID{Block: b.key, Row: r + 1, Tree: n})
		}
	}
	return out
}

// stand puts the trees of a visit together, always in the same order.
func (b *block) stand(now map[orchard.TreeID]*scene.Tree, seed uint64) *scene.Stand {
	var all []*scene.Tree
	for _, id := range b.ids() {
		all = append(all, now[id])
	}
	return scene.NewStand(seed, scene.Orchard, append(all, b.beyond...)...)
}
