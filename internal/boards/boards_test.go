package boards_test

import (
	"bytes"
	"fmt"
	"image"
	"image/draw"
	_ "image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"sort"
	"strings"
	"testing"

	"rowlight/calibrate"
	"rowlight/internal/boards"
	"rowlight/vision"
)

// renderDPI of the pages: 1 px is 0.127 mm.
const renderDPI = 200

// sizeTolMM: a quarter of a pixel at each end of a length of the rendered page,
// rounded up; a printer's own error is not in it.
const sizeTolMM = 0.15

func pxToMM(px float64) float64 { return px * 25.4 / renderDPI }

func patterns(id int) (boards.Pattern, error) {
	p, err := vision.MarkerPattern(id)
	return boards.Pattern(p), err
}

// render turns a PDF into one photo a page with poppler's pdftoppm.
func render(t *testing.T, pdf []byte) []*vision.Photo {
	t.Helper()
	if _, err := exec.LookPath("pdftoppm"); err != nil {
		t.Skip("SKIPPED: pdftoppm is not on this machine (make deps installs it)")
	}
	dir := t.TempDir()
	in := filepath.Join(dir, "in.pdf")
	if err := os.WriteFile(in, pdf, 0o644); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command("pdftoppm", "-r", fmt.Sprint(renderDPI), "-png", in, filepath.Join(dir, "p"))
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("pdftoppm: %v\n%s", err, out)
	}
	names, _ := filepath.Glob(filepath.Join(dir, "p*.png"))
	sort.Strings(names)
	var out []*vision.Photo
	for _, n := range names {
		out = append(out, readPNG(t, n))
	}
	return out
}

func readPNG(t *testing.T, path string) *vision.Photo {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	img, _, err := image.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	b := img.Bounds()
	rgba := image.NewRGBA(image.Rect(0, 0, b.Dx(), b.Dy()))
	draw.Draw(rgba, rgba.Rect, img, b.Min, draw.Src)
	p := &vision.Photo{W: b.Dx(), H: b.Dy(), FullW: b.Dx(), FullH: b.Dy(), Pix: make([]uint8, 0, 3*b.Dx()*b.Dy())}
	for i := 0; i < len(rgba.Pix); i += 4 {
		p.Pix = append(p.Pix, rgba.Pix[i:i+3]...)
	}
	return p
}

func TestPrintedBoardHasItsMarkersAtScale(t *testing.T) {
	var pdf bytes.Buffer
	if err := boards.WriteBoards(&pdf, []int{7}, patterns); err != nil {
		t.Fatal(err)
	}
	pages := render(t, pdf.Bytes())
	if len(pages) != 5 {
		t.Fatalf("%d pages, want one A3 and four A4", len(pages))
	}
	if w, h := pxToMM(float64(pages[0].W)), pxToMM(float64(pages[0].H)); math.Abs(w-420) > 0.2 || math.Abs(h-297) > 0.2 {
		t.Errorf("first page is %.1f x %.1f mm, want A3 (ISO 216) 420 x 297", w, h)
	}
	seen, err := vision.Markers(pages[0])
	if err != nil {
		t.Fatal(err)
	}
	if len(seen) != 4 {
		t.Fatalf("%d markers found on the A3 sheet, want 4", len(seen))
	}
	for _, m := range seen {
		want, ok := calibrate.MarkerCorners(m.ID)
		if !ok || calibrate.BoardNumber(m.ID) != 7 {
			t.Errorf("marker %d is not of board 7", m.ID)
			continue
		}
		for k, c := range m.Corners {
			// Corners lie between pixels: pixel centres are whole numbers.
			x, y := pxToMM(c.X+0.5), pxToMM(c.Y+0.5)
			if d := math.Hypot(x-1000*want[k][0], y-1000*want[k][1]); d > sizeTolMM {
				t.Errorf("marker %d corner %d at (%.2f, %.2f) mm, want (%.2f, %.2f): off by %.2f mm", m.ID, k, x, y, 1000*want[k][0], 1000*want[k][1], d)
			}
		}
	}
}

func TestTilesCarryOneWholeMarkerEachAtScale(t *testing.T) {
	var pdf bytes.Buffer
	if err := boards.WriteBoards(&pdf, []int{0}, patterns); err != nil {
		t.Fatal(err)
	}
	for tile, page := range render(t, pdf.Bytes())[1:] {
		seen, err := vision.Markers(page)
		if err != nil {
			t.Fatal(err)
		}
		if len(seen) != 1 || seen[0].ID != tile {
			t.Errorf("sheet %d: markers %v, want the one with id %d", tile+1, seen, tile)
			continue
		}
		if side := pxToMM(seen[0].Corners[0].Dist(seen[0].Corners[1])); math.Abs(side-100) > sizeTolMM {
			t.Errorf("sheet %d: marker side %.2f mm, want 100", tile+1, side)
		}
	}
}

// The ruler is the longest run of black in its rows.
func TestRulerBarIs100MM(t *testing.T) {
	var pdf bytes.Buffer
	if err := boards.WriteBoards(&pdf, []int{3}, patterns); err != nil {
		t.Fatal(err)
	}
	for i, page := range render(t, pdf.Bytes()) {
		atMM := 264.4 // A3: text area's top 200 + 64, and a little into the bar
		if i > 0 {
			atMM = 210 - 16 + 0.4
		}
		row := int(atMM * renderDPI / 25.4)
		if got := pxToMM(float64(longestBlack(page, row))); math.Abs(got-100) > 0.2 {
			t.Errorf("page %d: ruler bar is %.2f mm, want 100", i+1, got)
		}
	}
}

func longestBlack(p *vision.Photo, row int) int {
	best, run := 0, 0
	for x := range p.W {
		if p.Pix[3*(row*p.W+x)] < 128 {
			run++
			best = max(best, run)
		} else {
			run = 0
		}
	}
	return best
}

func TestCardsReadBack(t *testing.T) {
	var cards []boards.Card
	for i := range 11 {
		cards = append(cards, boards.Card{Payload: fmt.Sprintf("PAYLOAD/b2/%d/17", i), Title: fmt.Sprintf("Südhang, row %d, tree 17", i), Note: "Invented orchard"})
	}
	var pdf bytes.Buffer
	if _, err := boards.WriteCards(&pdf, cards); err != nil {
		t.Fatal(err)
	}
	got := map[string]bool{}
	for _, page := range render(t, pdf.Bytes()) {
		texts, err := vision.Cards(page)
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range texts {
			got[s] = true
		}
	}
	for _, c := range cards {
		if !got[c.Payload] {
			t.Errorf("card %q not read back; got %v", c.Payload, got)
		}
	}
	if len(got) != len(cards) {
		t.Errorf("%d codes read, %d printed", len(got), len(cards))
	}
}

func TestSameBoardsSameBytes(t *testing.T) {
	var a, b bytes.Buffer
	if err := boards.WriteBoards(&a, []int{1, 2}, patterns); err != nil {
		t.Fatal(err)
	}
	if err := boards.WriteBoards(&b, []int{1, 2}, patterns); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("two prints of the same boards differ")
	}
}

func TestBoardOutOfRangeIsRefused(t *testing.T) {
	if err := boards.WriteBoards(&bytes.Buffer{}, []int{25}, patterns); err == nil {
		t.Error("board 25 was printed; ids end with board 24")
	}
}

// A name may hold letters that the type lacks, and signs that mean something in a
// PDF: the card is printed all the same, and its code reads.
func TestCardsPrintAnyName(t *testing.T) {
	for _, name := range []string{"\U0001F951 North", "\u4e2d\u6587, \u0627\u0644\u0628\u0633\u062a\u0627\u0646", ") Tj ET BT (\\", "\u202e\u009b31m", strings.Repeat("w", 200), "<script>alert(1)</script>"} {
		var pdf bytes.Buffer
		card := boards.Card{Payload: "ROWLIGHT1:B1:3:11:07", Title: name + ", row 3, tree 11", Note: name}
		if _, err := boards.WriteCards(&pdf, []boards.Card{card}); err != nil {
			t.Errorf("%q: %v", name, err)
			continue
		}
		got, err := vision.Cards(render(t, pdf.Bytes())[0])
		if err != nil || len(got) != 1 || got[0] != card.Payload {
			t.Errorf("%q: the card reads as %q, %v", name, got, err)
		}
	}
}
