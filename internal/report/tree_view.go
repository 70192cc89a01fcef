package report

import (
	"fmt"
	"html/template"
	"math"
	"net/url"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"rowlight/internal/orchard"
)

// viewer turns trees into words with what lies around them.
type viewer struct {
	opt    Options
	photos map[string]*orchard.Record
	placed map[orchard.TreeID][]string // paths of the photos placed to each tree
}

func newViewer(opt Options, photos []orchard.Record) viewer {
	v := viewer{opt, make(map[string]*orchard.Record, len(photos)), map[orchard.TreeID][]string{}}
	for i := range photos {
		p := &photos[i]
		v.photos[p.Path] = p
		if p.Tree != nil && p.Status != orchard.Card {
			v.placed[*p.Tree] = append(v.placed[*p.Tree], p.Path)
		}
	}
	return v
}

// treeView is one tree as the page shows it.
type treeView struct {
	Anchor, Name, Label string
	Tied                bool
	Score               string // "82 (74–88)"; empty where unranked
	Bar                 *bar
	Reasons             []string
	Missing             string // "no usable alley photo"
	Unranked            string
	Parts               []partView
	Kinds               []kindView
	Turned              []photoLine // photos of this tree that gave nothing
	Flags               []string
	Lone                bool // the page's only tree
}

// bar is the interval bar, in units of priority, 0..100.
type bar struct {
	Low, Score, High, Width string
	Text                    string
}

type partView struct {
	Name, Points, Weight, Reason string
	Bar                          string // class of its share of the weight, "got1" to "got20"; "" for none
	Missing                      bool
}

func (v viewer) tree(t *orchard.TreeResult, label string, tied bool) treeView {
	out := treeView{Anchor: anchor(t.ID), Name: treeName(t.ID, v.opt.Layout), Label: label, Tied: tied,
		Missing: missing(t.Missing), Unranked: t.Unranked, Flags: t.Flags, Lone: v.opt.part != nil && v.opt.part.tree != nil}
	if p := t.Priority; p != nil {
		out.Score, out.Bar, out.Parts = scoreText(p), newBar(p), partViews(p)
		out.Reasons = glued(reasons(p))
	} else if out.Unranked == "" {
		out.Unranked = "nothing of this tree could be measured"
	}
	short := v.photoNames(t)
	out.Turned = v.turned(t)
	out.Kinds = v.kinds(t, short)
	return out
}

func newBar(p *orchard.Priority) *bar {
	clamp := func(v float64) float64 { return min(max(v, 0), 100) }
	low, high := clamp(p.Low95), clamp(p.High95)
	return &bar{fixed(low, 1), fixed(clamp(p.Score), 1), fixed(high, 1), fixed(max(high-low, 0), 1),
		"priority " + points(p.Score) + " of 100, 95 % interval " + points(p.Low95) + " to " + points(p.High95)}
}

func partViews(p *orchard.Priority) []partView {
	var out []partView
	for _, part := range p.Parts {
		out = append(out, partView{part.Name, points(part.Points), points(part.Weight), glue(part.Reason), barClass(part), part.Missing})
	}
	return out
}

// barSteps is how finely a part's bar is drawn; report.css has a class for each.
const barSteps = 20

// barClass is a class and not a style of its own: a page holds no style attribute, into
// which a name could be smuggled.
func barClass(part orchard.Part) string {
	if part.Missing || part.Weight <= 0 {
		return ""
	}
	n := int(math.Round(barSteps * min(max(part.Points/part.Weight, 0), 1)))
	if n == 0 {
		return ""
	}
	return "got" + strconv.Itoa(n)
}

// listed is how many reasons the list gives; the tree's own section has all.
const listed = 3

func glued(said []string) []string {
	said = slices.Clone(said[:min(len(said), listed)])
	for i := range said {
		said[i] = glue(said[i])
	}
	return said
}

// missing names the shots a tree lacks: "no usable side or alley photo".
func missing(kinds []orchard.Kind) string {
	if len(kinds) == 0 {
		return ""
	}
	words := make([]string, len(kinds))
	for i, k := range kinds {
		words[i] = string(k)
	}
	return "no usable " + strings.Join(words, " or ") + " photo"
}

// photoNames gives each photo of a tree a short name: "floor 1", "side 2",
// in the order of their paths.
func (v viewer) photoNames(t *orchard.TreeResult) map[string]string {
	short := map[string]string{}
	count := map[orchard.Kind]int{}
	for _, path := range v.paths(t) {
		kind := orchard.Kind("photo")
		if p := v.photos[path]; p != nil && p.Kind != "" {
			kind = p.Kind
			if len(p.Pair) > 0 {
				kind += orchard.Kind(space + "pair")
			}
		}
		count[kind]++
		short[path] = fmt.Sprintf("%s%s%d", kind, space, count[kind])
	}
	return short
}

// paths are all photos of a tree: those it says it has, and those placed to it.
func (v viewer) paths(t *orchard.TreeResult) []string {
	paths := slices.Concat(t.Photos, v.placed[t.ID])
	slices.Sort(paths)
	return slices.Compact(paths)
}

// figure is one overlay.
type figure struct {
	ID, Alt, Short, File, Taken string
	URL                         template.URL // escaped already
	Width, Height               int
	Gone                        bool // the overlay cannot be read
	Within                      bool // the page holds the picture itself
}

func (v viewer) figures(t *orchard.TreeResult, short map[string]string) map[orchard.Kind][]figure {
	out := map[orchard.Kind][]figure{}
	for _, path := range v.paths(t) {
		p := v.photos[path]
		if p == nil || p.Overlay == "" || p.Status != orchard.Measured {
			continue
		}
		f := figure{ID: figureID(t.ID, short[path]), Short: short[path], File: fileName(p), Alt: v.alt(t, p)}
		if p.TakenAt != nil {
			f.Taken = p.TakenAt.Format("2 Jan 15:04")
		}
		v.show(&f, p.Overlay)
		out[p.Kind] = append(out[p.Kind], f)
	}
	return out
}

// show gives a figure its picture: within the page, or beside it.
func (v viewer) show(f *figure, overlay string) {
	if v.opt.within != nil {
		pic, ok := v.opt.within[overlay]
		f.URL, f.Width, f.Height, f.Gone, f.Within = pic.uri, pic.widthPx, pic.heightPx, !ok, true
		return
	}
	f.URL, f.Gone = overlayURL(v.opt.OverlayBase, overlay)
	if v.opt.OverlaySize != nil && !f.Gone {
		w, h, ok := v.opt.OverlaySize(overlay)
		f.Width, f.Height, f.Gone = w, h, !ok
	}
}

func figureID(id orchard.TreeID, short string) string {
	return "photo-" + strings.TrimPrefix(anchor(id), "tree-") + "-" + strings.ReplaceAll(short, space, "-")
}

// alt says in words what the overlay shows.
func (v viewer) alt(t *orchard.TreeResult, p *orchard.Record) string {
	var said []string
	for _, q := range quantities {
		if m := p.Find(q.Q); m != nil && m.Value != nil && len(said) < 2 {
			said = append(said, q.Label+" "+show(*m, q.Form).Full())
		}
	}
	what := map[orchard.Kind]string{orchard.Floor: "Floor under ", orchard.Side: "Side view of ", orchard.Alley: "Alley beside ", orchard.AlleyFloor: "Alley floor beside ", orchard.Up: "Sky from under "}[p.Kind]
	s := what + treeName(t.ID, v.opt.Layout) + ", with what was measured drawn on it"
	if len(said) > 0 {
		s += ": " + strings.Join(said, "; ")
	}
	return s
}

// overlayURL is the page's link to an overlay. It always starts with "./", so
// that no name can be taken for a scheme; a path that leads out of the folder
// is not linked.
func overlayURL(dir, overlay string) (link template.URL, gone bool) {
	if !filepath.IsLocal(filepath.FromSlash(overlay)) {
		return "", true
	}
	return template.URL("./" + EscapedPath(path.Join(dir, overlay))), false
}

// EscapedPath is a path with slashes as it stands in a link: a # or % in a name is
// part of the name.
func EscapedPath(name string) string {
	parts := strings.Split(name, "/")
	for i := range parts {
		parts[i] = url.PathEscape(parts[i])
	}
	return strings.Join(parts, "/")
}

func base(p string) string { return path.Base(p) }

// fileName is a photo's own name, or both of a pair's.
func fileName(p *orchard.Record) string {
	if len(p.Pair) == 2 {
		return base(p.Pair[0]) + " and " + base(p.Pair[1])
	}
	return base(p.Path)
}

// inBlock is a tree's place within its block.
func inBlock(id orchard.TreeID) string {
	return fmt.Sprintf("row%s%d, tree%s%d", space, id.Row, space, id.Tree)
}
