package pipeline

import (
	"fmt"
	"runtime"
	"slices"
	"sort"
	"strings"

	"rowlight/internal/orchard"
	"rowlight/metrics"
)

// result gathers the records by tree and ranks the trees.
func (r *runner) result(records, pairs []orchard.Record) (*Result, error) {
	tapes, problems, err := orchard.LoadMeasured(r.opt.Dir, r.opt.Orchard)
	if err != nil {
		return nil, err
	}
	r.warn(problems)
	trees, looks := r.gather(records, pairs, tapes)
	blocks := blockMeans(r.opt.Orchard, trees, looks)
	sways, err := r.rank(trees, looks)
	if err != nil {
		return nil, err
	}
	return &Result{
		Visit: orchard.VisitResult{
			Schema: "rowlight-results/1", Version: r.opt.Version, Settings: r.opt.Orchard.SettingsHash(),
			Tools: &orchard.Tools{OpenCV: r.openCV, Go: runtime.Version()}, Used: r.opt.Orchard.Used(),
			Orchard: r.opt.Orchard.Name, Visit: r.opt.Visit, Trees: trees, Photos: records, Pairs: pairs,
			Blocks: blocks, Sways: sways,
		},
		Warnings: r.warnings, Measured: r.fresh, Reused: r.reused,
	}, nil
}

// flagTwins marks a photo that is there twice: its second copy is no second look.
func flagTwins(records []orchard.Record) {
	first := map[string]string{}
	for i := range records {
		rec := &records[i]
		if rec.Status != orchard.Measured {
			continue
		}
		if path, twice := first[rec.SHA256]; twice {
			rec.Flags = append(slices.Clone(rec.Flags), twinFlag+path)
			continue
		}
		first[rec.SHA256] = rec.Path
	}
}

const twinFlag = "the same photo as "

func isTwin(rec *orchard.Record) bool {
	return slices.ContainsFunc(rec.Flags, func(f string) bool { return strings.HasPrefix(f, twinFlag) })
}

// gather makes a result of every tree that has a photo or a tape, in walking
// order.
func (r *runner) gather(records, pairs []orchard.Record, tapes []orchard.Tape) ([]orchard.TreeResult, []looks) {
	o := r.opt.Orchard
	photos := map[orchard.TreeID][]*orchard.Record{}
	for i := range records {
		if t := records[i].Tree; t != nil {
			photos[*t] = append(photos[*t], &records[i])
		}
	}
	byPair := pairsByTree(pairs)
	byTape := map[orchard.TreeID][]orchard.Measurement{}
	for _, t := range tapes {
		if t.Visit == r.opt.Visit {
			byTape[t.Tree] = append(byTape[t.Tree], t.Measurement)
		}
	}
	var trees []orchard.TreeResult
	var all []looks
	for _, id := range o.Trees() {
		if len(photos[id])+len(byTape[id]) == 0 {
			continue
		}
		t, l := r.tree(id, photos[id], byTape[id], byPair[id]...)
		trees, all = append(trees, t), append(all, l)
	}
	return trees, all
}

// looks are a tree's single numbers, one entry a photo or tape, by quantity.
type looks map[orchard.Quantity][]metrics.Estimate

func (r *runner) tree(id orchard.TreeID, photos []*orchard.Record, tapes []orchard.Measurement, pairs ...*orchard.Record) (orchard.TreeResult, looks) {
	t := orchard.TreeResult{ID: id}
	if lat, lon, ok := r.opt.Orchard.Position(id); ok {
		t.LatDeg, t.LonDeg = &lat, &lon
	}
	usable := map[orchard.Kind]int{}
	over, flag := otherAlley(photos)
	if flag != "" {
		t.Flags = append(t.Flags, flag)
	}
	var single, profile []orchard.Measurement
	for _, rec := range photos {
		t.Photos = append(t.Photos, rec.Path)
		if rec.Status != orchard.Measured || isTwin(rec) || over[rec] {
			continue
		}
		usable[rec.Kind]++
		for _, f := range rec.Flags {
			if !slices.Contains(t.Flags, f) {
				t.Flags = append(t.Flags, f)
			}
		}
		for _, m := range rec.Measurements {
			if m.AtM == nil {
				single = append(single, m)
			} else if usable[rec.Kind] == 1 { // a profile belongs to one photo: the first
				profile = append(profile, m)
			}
		}
	}
	single, profile = withPairs(single, profile, usedPairs(pairs, over))
	t.Measurements = append(useTapes(combineAll(single), tapes), profile...)
	undecided(t.Measurements, r.opt.Orchard.Crop.Targets)
	if shift, ok := shadeShift(&t, photos); ok {
		t.Measurements = append(t.Measurements, shift)
	}
	for _, k := range orchard.Kinds() {
		if k == orchard.Floor && usable[k] == 0 && usable[orchard.Up] > 0 {
			t.Flags = append(t.Flags, "no floor photo: the sunlit share is expected from the sky overhead")
			continue
		}
		if usable[k] == 0 && !tapeFor(k, tapes) {
			t.Missing = append(t.Missing, k)
		}
	}
	seen := looksOf(single, tapes)
	if t.MoreFloorPhotos = moreFloorPhotos(seen); t.MoreFloorPhotos != nil && *t.MoreFloorPhotos > 0 {
		t.Flags = append(t.Flags, fmt.Sprintf("%d more floor photos would bring its sunlit share to within 5 points", *t.MoreFloorPhotos))
	}
	return t, seen
}

// looksOf sorts the numbers by quantity; a tape stands in for the photos.
func looksOf(single, tapes []orchard.Measurement) looks {
	out := looks{}
	for _, m := range single {
		if m.Value != nil {
			out[m.Quantity] = append(out[m.Quantity], estimateOf(m))
		}
	}
	for _, m := range tapes {
		out[m.Quantity] = []metrics.Estimate{estimateOf(m)}
	}
	return out
}

// EstimateOf is a measurement's number with its interval; ok is false where it has
// none.
func EstimateOf(m *orchard.Measurement) (e metrics.Estimate, ok bool) {
	if m == nil || m.Value == nil || m.Low95 == nil || m.High95 == nil {
		return e, false
	}
	return estimateOf(*m), true
}

func estimateOf(m orchard.Measurement) metrics.Estimate {
	return metrics.Estimate{Value: *m.Value, Low95: *m.Low95, High95: *m.High95, Flags: m.Flags}
}

// tapeFor tells whether a tape stands in for the main number of a kind of shot.
func tapeFor(k orchard.Kind, tapes []orchard.Measurement) bool {
	main := map[orchard.Kind]orchard.Quantity{orchard.Side: orchard.HeightM, orchard.Alley: orchard.ClearWidthM}
	return slices.ContainsFunc(tapes, func(m orchard.Measurement) bool { return m.Quantity == main[k] })
}

// combineAll makes one measurement of each quantity, in the order of the names.
func combineAll(ms []orchard.Measurement) []orchard.Measurement {
	by := map[orchard.Quantity][]orchard.Measurement{}
	for _, m := range ms {
		by[m.Quantity] = append(by[m.Quantity], m)
	}
	names := make([]orchard.Quantity, 0, len(by))
	for q := range by {
		names = append(names, q)
	}
	sort.Slice(names, func(i, j int) bool { return names[i] < names[j] })
	out := make([]orchard.Measurement, 0, len(names))
	for _, q := range names {
		out = append(out, combine(by[q]))
	}
	return out
}

// combine brings several photos' numbers of one quantity together.
func combine(ms []orchard.Measurement) orchard.Measurement {
	var have []orchard.Measurement
	for _, m := range ms {
		if m.Value != nil {
			have = append(have, m)
		}
	}
	if len(have) == 0 {
		return ms[0]
	}
	out := have[0]
	if len(have) == 1 {
		return out
	}
	estimates := make([]metrics.Estimate, len(have))
	out.Photos = nil
	for i, m := range have {
		estimates[i] = estimateOf(m)
		out.Photos = append(out.Photos, m.Photos...)
		if m.Method != out.Method {
			out.Method = "several ways"
		}
	}
	mean := metrics.Combine
	if out.Unit == shareUnit && out.Quantity != orchard.TopToBottomWidth && out.Quantity != orchard.FloorContrast {
		mean = metrics.CombineShares
	}
	e, _ := mean(estimates) // there are two or more
	out.Value, out.Low95, out.High95, out.Flags = &e.Value, &e.Low95, &e.High95, e.Flags
	out.Parts = combinedParts(have, e)
	return out
}

// shareUnit marks shares and ratios.
const shareUnit = "1"

// useTapes puts what was measured by hand in the place of what photos gave: a
// tape is only stretched where a photo cannot say, or was not believed.
func useTapes(ms, tapes []orchard.Measurement) []orchard.Measurement {
	for _, tape := range tapes {
		i := slices.IndexFunc(ms, func(m orchard.Measurement) bool { return m.Quantity == tape.Quantity })
		if i < 0 {
			ms = append(ms, tape)
			continue
		}
		if v := ms[i].Value; v != nil {
			tape.Flags = append(slices.Clone(tape.Flags), fmt.Sprintf("measured by tape; photos gave %.1f m", *v))
		}
		ms[i] = tape
	}
	return ms
}
