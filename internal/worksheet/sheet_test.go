package worksheet

import (
	"bytes"
	"fmt"
	"image"
	"image/draw"
	"image/jpeg"
	_ "image/png"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"rowlight/internal/orchard"
	"rowlight/internal/plan"
)

// sheetDPI of the rendered pages: 1 px is half a millimetre.
const sheetDPI = 50

func invented(t *testing.T, name string) *orchard.Orchard {
	t.Helper()
	o, err := orchard.Parse(orchard.FileName, []byte(fmt.Sprintf(`name = "Invented"
[place]
latitude_deg = -26
longitude_deg = 152
time_zone = "Etc/GMT-10"
[[blocks]]
key = "b1"
name = %q
rows = 40
trees_per_row = 10
row_spacing_m = 8
tree_spacing_m = 5
row_direction_deg = 0
`, name)))
	if err != nil {
		t.Fatal(err)
	}
	return o
}

// bigPlan is a plan with everything in it: n trees to do, long reasons, many apart.
func bigPlan(n int) *plan.Plan {
	p := &plan.Plan{
		Schema: plan.Schema, Visit: "2026-08-20", Year: plan.Limits{Low: .15, High: .25},
		Regrowth: plan.Regrowth{Low: .18, High: .25, From: "the range in orchard.toml"},
		Cautions: []string{"Local codes and licensed practice come first.", "Power lines: look for them."},
		Rounds:   []plan.Round{{DaysAfter: 60, From: "2026-10-23", Do: "water shoots"}},
		Seasons:  []plan.Season{{Block: "b1", Say: "after its harvest and before its flowering"}},
	}
	for i := range n {
		p.Trees = append(p.Trees, bigTree(i+1))
	}
	for i := range 30 {
		p.Left = append(p.Left, plan.Tree{ID: orchard.TreeID{Block: "b1", Row: 20 + i/10, Tree: 1 + i%10}, Rank: 50 + i, ThisYear: plan.ThisYear{Low: .15, High: .25}})
		p.Apart = append(p.Apart, plan.Apart{ID: orchard.TreeID{Block: "b1", Row: 30 + i/10, Tree: 1 + i%10}, Reasons: []string{fmt.Sprintf("reason %d", i)}, Advice: "mend it"})
	}
	return p
}

func bigTree(order int) plan.Tree {
	t := plan.Tree{
		ID: orchard.TreeID{Block: "b1", Row: 1 + (order-1)/10, Tree: 1 + (order-1)%10}, Order: order, Rank: order, RankLow: 1, RankHigh: 40,
		ThisYear: plan.ThisYear{Low: .15, High: .25, Say: "Take 15 % of the leaf if it is put into one window, up to 25 % if it is thinned evenly."},
		Light: &plan.Light{
			From: "the floor", SunlitFraction: plan.Share{Value: .05, Low95: .02, High95: .09}, Weighed: &plan.Share{Value: .06, Low95: .04, High95: .09}, Thinning: plan.Share{Value: .46, Low95: .3, High95: .6},
			Window: plan.Share{Value: .16, Low95: .1, High95: .18}, Seasons: &plan.SeasonsAhead{Low95: "2", Median: "4", High95: "over 12"},
		},
		Cautions: []string{"Paint all wood that comes out of the shade, before the cut or within an hour after."},
	}
	for _, kind := range []string{"top", "shoulder", "alley side", "window", "skirt"} {
		t.Places = append(t.Places, plan.Place{Kind: kind, Say: "The " + kind + ": from 5.0 to 6.1 m, so that the sun reaches the limbs inside and the sprayer passes."})
	}
	for _, key := range []string{"limb_removal", "frame", "columns"} {
		t.Options = append(t.Options, plan.Choice{Key: key, Name: "Way " + key, Reasons: []string{"it clears a window at once"}, How: []string{"One limb this year, another next year.", "Leave a stub of 50 to 75 cm.", "Shape the replacement."}, Watch: []string{"much bare wood"}})
	}
	for _, key := range []string{"hedging", "heading_back", "rows_out", "flat_top", "open_vase"} {
		t.RuledOut = append(t.RuledOut, plan.Choice{Key: key, Name: "Not " + key, Reasons: []string{"never: it fills with vigorous shoots and ends darker than before"}})
	}
	return t
}

func somePicture(t *testing.T, w, h int) Picture {
	t.Helper()
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for i := range img.Pix {
		img.Pix[i] = 90
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, nil); err != nil {
		t.Fatal(err)
	}
	return Picture{JPEG: b.Bytes()}
}

// pages writes a plan and returns the text and the picture of each page.
func pages(t *testing.T, p *plan.Plan, o *orchard.Orchard, pictures map[orchard.TreeID]Picture) (text []string, pics []image.Image, missing string) {
	t.Helper()
	for _, tool := range []string{"pdftoppm", "pdftotext"} {
		if _, err := exec.LookPath(tool); err != nil {
			t.Skip("SKIPPED: " + tool + " is not on this machine (make deps installs poppler)")
		}
	}
	var b bytes.Buffer
	missing, err := Write(&b, p, o, pictures)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	in := filepath.Join(dir, "in.pdf")
	if err := os.WriteFile(in, b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command("pdftoppm", "-gray", "-r", fmt.Sprint(sheetDPI), "-png", in, filepath.Join(dir, "p")).CombinedOutput(); err != nil {
		t.Fatalf("pdftoppm: %v\n%s", err, out)
	}
	all, err := exec.Command("pdftotext", "-layout", in, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	names, _ := filepath.Glob(filepath.Join(dir, "p*.png"))
	slices.Sort(names)
	for _, n := range names {
		f, err := os.Open(n)
		if err != nil {
			t.Fatal(err)
		}
		img, _, err := image.Decode(f)
		f.Close()
		if err != nil {
			t.Fatal(err)
		}
		pics = append(pics, img)
	}
	return strings.Split(strings.TrimSuffix(string(all), "\f"), "\f"), pics, missing
}

// Printers leave 5 mm blank or so (common practice): nothing may stand there, on any
// page, with the longest texts.
func TestNothingRunsOffAnyPage(t *testing.T) {
	pictures := map[orchard.TreeID]Picture{
		bigTree(1).ID: somePicture(t, 640, 480), bigTree(2).ID: somePicture(t, 300, 900), bigTree(3).ID: {Why: strings.Repeat("a long reason ", 20)},
	}
	text, pics, _ := pages(t, bigPlan(14), invented(t, strings.Repeat("A very long name of a block ", 6)), pictures)
	if len(text) != len(pics) {
		t.Fatalf("%d pages of text, %d pictures", len(text), len(pics))
	}
	const blankMM = 5
	blank := blankMM * sheetDPI * 10 / 254
	for i, img := range pics {
		grey := image.NewGray(image.Rect(0, 0, img.Bounds().Dx(), img.Bounds().Dy()))
		draw.Draw(grey, grey.Rect, img, img.Bounds().Min, draw.Src)
		w, h := grey.Rect.Dx(), grey.Rect.Dy()
		for at, v := range grey.Pix {
			x, y := at%grey.Stride, at/grey.Stride
			inside := x >= blank && x < w-blank && y >= blank && y < h-blank
			if !inside && v < 250 {
				t.Fatalf("page %d has ink at %d, %d of %d x %d, within %d mm of the edge", i+1, x, y, w, h, blankMM)
			}
		}
	}
}

func TestEveryTreeHasItsPageAndTheLogItsLine(t *testing.T) {
	p := bigPlan(12)
	text, _, missing := pages(t, p, invented(t, "Dam block"), nil)
	if missing != "" {
		t.Errorf("letters %q are missing", missing)
	}
	for i := range p.Trees {
		tree := &p.Trees[i]
		title := fmt.Sprintf("%d of 12: Dam block (b1), row %d, tree %d", tree.Order, tree.ID.Row, tree.ID.Tree)
		at := slices.IndexFunc(text, func(s string) bool { return strings.Contains(s, title) })
		if at < 0 {
			t.Errorf("no page says %q", title)
			continue
		}
		page := text[at]
		for _, want := range []string{"15–25 %", "top", "skirt", "Way limb_removal", "Also suited", "Ruled out", "never", "Paint", "Notes", "painted at", "Sketch the tree"} {
			if !strings.Contains(page, want) {
				t.Errorf("page %d does not say %q", at+1, want)
			}
		}
	}
	all := strings.Join(text, "\n")
	for _, want := range []string{"Stump and paint log", "Left undone", "Apart: do not cut", "Follow-up 1, 60 days after the cut, from 2026-10-23", "Local codes and licensed practice come first"} {
		if !strings.Contains(all, want) {
			t.Errorf("nowhere is said %q", want)
		}
	}
	for _, page := range text {
		if !strings.Contains(page, "Local codes and licensed practice come first") {
			t.Error("a page lacks the foot that puts local codes first")
		}
	}
}

// A tree with more to say than a page holds runs on, under its name.
func TestLongTreeRunsOnUnderItsName(t *testing.T) {
	p := bigPlan(1)
	for range 30 {
		p.Trees[0].Cautions = append(p.Trees[0].Cautions, "One more thing to watch out for on this tree, said at some length so that it takes two lines of the sheet and not one.")
	}
	text, _, _ := pages(t, p, invented(t, "Dam block"), nil)
	if !strings.Contains(strings.Join(text, "\n"), "1 of 1: Dam block (b1), row 1, tree 1, second page") {
		t.Error("the second page does not say whose it is")
	}
}

func TestLettersThatTheTypeLacksAreTold(t *testing.T) {
	text, _, missing := pages(t, bigPlan(1), invented(t, "Südhang Ωδ Сад 梅園"), nil)
	if missing != "園梅" { // by code: U+5712, U+6885
		t.Errorf("missing %q, want the two signs", missing)
	}
	all := strings.Join(text, "\n")
	for _, want := range []string{"Südhang Ωδ Сад ??"} {
		if !strings.Contains(all, want) {
			t.Errorf("not printed: %q", want)
		}
	}
}

func TestSamePlanSameBytes(t *testing.T) {
	var a, b bytes.Buffer
	o := invented(t, "Dam block")
	for _, w := range []*bytes.Buffer{&a, &b} {
		if _, err := Write(w, bigPlan(3), o, map[orchard.TreeID]Picture{bigTree(1).ID: somePicture(t, 64, 48)}); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("two sheets of one plan differ")
	}
}

func TestEmptyPlanAndBrokenPicture(t *testing.T) {
	o := invented(t, "Dam block")
	var b bytes.Buffer
	if _, err := Write(&b, &plan.Plan{Visit: "v"}, o, nil); err != nil || b.Len() == 0 {
		t.Errorf("an empty plan: %v", err)
	}
	text, _, _ := pages(t, bigPlan(1), o, map[orchard.TreeID]Picture{bigTree(1).ID: {JPEG: []byte("no picture")}})
	if !strings.Contains(strings.Join(text, ""), "the photo cannot be printed") {
		t.Error("a broken picture is not told")
	}
}
