package orchard

import (
	"fmt"
	"math"
	"slices"
	"time"
)

// MixUp is two trees of a visit whose photos of one kind seem to be each other's.
type MixUp struct {
	Kind Kind
	A, B TreeID
	Why  string // what speaks for it, with the numbers
}

// Words says a mix-up and what to do about it.
func (m MixUp) Words(visit string) string {
	return fmt.Sprintf("The %s photos of %s and %s at %s look swapped: %s. Put them under the right trees in %s.",
		m.Kind, m.A.Words(), m.B.Words(), visit, m.Why, PhotosFile)
}

// MixUps finds pairs of trees of one block whose photos of a kind speak each for the
// other tree: by when they were taken among the trees' other photos, by where, or by
// the board in them. Each must hold for both trees: one photo that lies oddly is a
// scout who went back, two that lie in each other's place are not. Sides, floors and
// alleys are looked at; a tree with no other photo to go by says nothing.
func (o *Orchard) MixUps(v *VisitResult) []MixUp {
	byTree := map[TreeID][]*Record{}
	for i := range v.Photos {
		if p := &v.Photos[i]; p.Tree != nil && p.PlacedBy != ByCard {
			byTree[*p.Tree] = append(byTree[*p.Tree], p)
		}
	}
	var out []MixUp
	for _, kind := range []Kind{Floor, Side, Alley} {
		var all []ofKind
		for _, id := range o.Trees() {
			if k := partKind(id, byTree[id], kind); len(k.own) > 0 {
				all = append(all, k)
			}
		}
		for i, a := range all {
			for _, b := range all[i+1:] {
				if a.id.Block != b.id.Block {
					continue
				}
				if why := o.swapped(a, b); why != "" {
					out = append(out, MixUp{kind, a.id, b.id, why})
				}
			}
		}
	}
	return out
}

// ofKind are a tree's photos of one kind, and its others.
type ofKind struct {
	id         TreeID
	own, other []*Record
}

func partKind(id TreeID, photos []*Record, kind Kind) ofKind {
	k := ofKind{id: id}
	for _, p := range photos {
		if p.Kind == kind {
			k.own = append(k.own, p)
		} else {
			k.other = append(k.other, p)
		}
	}
	return k
}

// swapped says what speaks for it that all of a's own photos are b's and b's a's; ""
// for nothing.
func (o *Orchard) swapped(a, b ofKind) string {
	if why := byTime(a, b); why != "" {
		return why
	}
	for _, test := range []func(a, b ofKind) string{o.byPlace, byBoard} {
		if there, back := test(a, b), test(b, a); there != "" && back != "" {
			return there + ", and " + back
		}
	}
	return ""
}

const (
	// leastAway: nobody measures a tree, walks to the next and sets the board up anew
	// in less (ours).
	leastAway = 30 * time.Second
	// nearerTimes: a photo is another tree's by time where it lies so many times
	// nearer to that tree's other photos than to its own tree's.
	nearerTimes = 3.0
	// asNear: of a photo between its own tree's and another's, as near to the other's
	// but for the pace of the walk.
	asNear = 1 / 1.5
	// A phone's position is good to 5 m under the open sky and to two or three times
	// that under trees (common practice): over gpsFarM from one tree and within
	// gpsNearM of another is not chance.
	gpsFarM, gpsNearM = 40.0, 15.0
)

// byTime tells whether all of a's own photos were taken among or right beside b's
// others and away from a's, and b's likewise, by one camera's clock. Where one plainly
// was the other need only stand as near: the first photo at the next tree follows the
// last at this one.
func byTime(a, b ofKind) string {
	there, back := nearness(a, b), nearness(b, a)
	if max(there, back) < nearerTimes || min(there, back) < asNear {
		return ""
	}
	return fmt.Sprintf("by the clock %s was taken with the other photos of %s, and %s with those of %s", a.own[0].Path, b.id.Words(), b.own[0].Path, a.id.Words())
}

// nearness is how many times nearer to b's other photos than to a's a's own were taken,
// the least of them; 0 where time tells nothing, as where the two trees' others were
// taken in turns (first all sides, then all alleys).
func nearness(a, b ofKind) float64 {
	least := math.Inf(1)
	for _, p := range a.own {
		fromA, toA, okA := timeSpan(a.other, p.Camera)
		fromB, toB, okB := timeSpan(b.other, p.Camera)
		if p.TakenAt == nil || !okA || !okB || !toA.Before(fromB) && !toB.Before(fromA) {
			return 0
		}
		own, other := away(*p.TakenAt, fromA, toA), away(*p.TakenAt, fromB, toB)
		ratio := own.Seconds() / math.Max(other.Seconds(), 1)
		if own < leastAway {
			ratio = math.Min(ratio, 1)
		}
		least = math.Min(least, ratio)
	}
	return least
}

// timeSpan is when a camera took some photos; ok is false for none or for one without a
// time.
func timeSpan(photos []*Record, camera string) (from, to time.Time, ok bool) {
	for _, p := range photos {
		switch {
		case p.Camera != camera:
			continue
		case p.TakenAt == nil:
			return from, to, false
		}
		if !ok || p.TakenAt.Before(from) {
			from = *p.TakenAt
		}
		if !ok || p.TakenAt.After(to) {
			to = *p.TakenAt
		}
		ok = true
	}
	return from, to, ok
}

func away(t, from, to time.Time) time.Duration {
	return max(from.Sub(t), t.Sub(to), 0)
}

// byPlace tells whether all of a's own photos were taken at b by their GPS.
func (o *Orchard) byPlace(a, b ofKind) string {
	far := math.Inf(1)
	for _, p := range a.own {
		own, okA := o.distanceM(p, a.id)
		other, okB := o.distanceM(p, b.id)
		if !okA || !okB || own < gpsFarM || other > gpsNearM {
			return ""
		}
		far = min(far, own)
	}
	return fmt.Sprintf("%s was taken at %s by its GPS, %.0f m from its tree", a.own[0].Path, b.id.Words(), far)
}

// distanceM is how far from a tree a photo was taken.
func (o *Orchard) distanceM(p *Record, id TreeID) (m float64, ok bool) {
	lat, lon, ok := o.Position(id)
	if !ok || p.LatDeg == nil || p.LonDeg == nil {
		return 0, false
	}
	const metresPerDeg = 111_195 // a mean earth of 6371 km
	north := (*p.LatDeg - lat) * metresPerDeg
	east := math.Remainder(*p.LonDeg-lon, 360) * metresPerDeg * math.Cos(lat*math.Pi/180)
	return math.Hypot(north, east), true
}

// byBoard tells whether a's own photos show the one board of b's others and not that
// of a's: trees that were each measured with a board of their own.
func byBoard(a, b ofKind) string {
	own, boardA, boardB := oneBoard(a.own), oneBoard(a.other), oneBoard(b.other)
	if own < 0 || boardA < 0 || own != boardB || boardA == boardB {
		return ""
	}
	return fmt.Sprintf("%s shows board %d as the other photos of %s do, those of its own tree board %d", a.own[0].Path, own, b.id.Words(), boardA)
}

// oneBoard is the one board that all of some photos show, -1 for none or several.
func oneBoard(photos []*Record) int {
	var seen []int
	for _, p := range photos {
		if p.Kind == Up { // needs none
			continue
		}
		if len(p.Boards) != 1 {
			return -1
		}
		if !slices.Contains(seen, p.Boards[0]) {
			seen = append(seen, p.Boards[0])
		}
	}
	if len(seen) != 1 {
		return -1
	}
	return seen[0]
}
