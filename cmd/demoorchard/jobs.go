package main

import (
	"fmt"
	"path"
	"time"

	"rowlight/internal/orchard"
	"rowlight/internal/scene"
)

// fault is what is wrong with a photo, on purpose.
type fault int

const (
	sound       fault = iota
	cloudy            // taken under cloud: no sun on the floor
	boardless         // the board was forgotten
	cutShort          // the file ends in the middle
	cardInstead       // a tree card, not a board
)

// job is one photo of the plan.
type job struct {
	name        string // path within the orchard folder
	visit       string
	tree        orchard.TreeID
	kind        orchard.Kind
	taken       time.Time
	fault       fault
	orientation int
}

// betweenPhotos is the scout's pace.
const betweenPhotos = 45 * time.Second

// plan lists every photo of a block at a visit, from a time on.
func plan(b *block, visit string, from time.Time) []job {
	var jobs []job
	for _, id := range b.ids() {
		for _, kind := range []orchard.Kind{orchard.Floor, orchard.Side, orchard.Alley} {
			if kind == orchard.Alley && skipAlley(id, visit) {
				continue
			}
			j := job{visit: visit, tree: id, kind: kind, taken: from, orientation: 1}
			j.name = path.Join(orchard.PhotosDir, visit, fmt.Sprintf("%s-%s-1.jpg", id, kind))
			if kind == orchard.Side && b.rows[id.Row-1][id.Tree-1].heightM > 6.5 {
				j.orientation = 6 // held upright
			}
			jobs = append(jobs, j)
			from = from.Add(betweenPhotos)
		}
	}
	return jobs
}

// spoil makes some photos of the first visit bad, renames those of one tree to
// what the camera called them, after a photo of its card, and adds two strays.
func spoil(jobs []job) []job {
	carded := orchard.TreeID{Block: "b2", Row: 2, Tree: 1}
	cloud := orchard.TreeID{Block: "b2", Row: 2, Tree: 4}
	bare := orchard.TreeID{Block: "b2", Row: 1, Tree: 3}
	short := orchard.TreeID{Block: "b1", Row: 2, Tree: 3}
	folder := path.Join(orchard.PhotosDir, visitBefore)
	var out []job
	for i, j := range jobs {
		switch {
		case j.tree == cloud && j.kind == orchard.Floor:
			j.fault = cloudy
		case j.tree == bare && j.kind == orchard.Side:
			j.fault = boardless
		case j.tree == carded:
			if j.kind == orchard.Floor {
				card := j
				card.fault, card.taken, card.name = cardInstead, j.taken.Add(-20*time.Second), path.Join(folder, fmt.Sprintf("IMG_04%02d.jpg", i%100-1))
				out = append(out, card)
			}
			j.name = path.Join(folder, fmt.Sprintf("IMG_04%02d-%s.jpg", i%100, j.kind))
		}
		out = append(out, j)
		if j.tree == short && j.kind == orchard.Alley {
			j.fault, j.name = cutShort, path.Join(folder, fmt.Sprintf("%s-alley-2.jpg", j.tree))
			out = append(out, j)
		}
	}
	// A first try before the walk began: nothing says which tree it is.
	stray := jobs[0]
	stray.name, stray.taken = path.Join(folder, "IMG_0388.jpg"), stray.taken.Add(-40*time.Minute)
	return append(out, stray)
}

// sunAt is the sun over the demo orchard.
func sunAt(t time.Time) scene.Sun { return scene.SunAt(t, latitudeDeg, longitudeDeg) }
