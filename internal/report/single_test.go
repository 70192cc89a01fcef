package report

import (
	"bytes"
	"encoding/base64"
	"image"
	"image/color"
	"image/jpeg"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"rowlight/internal/orchard"
)

// noise is a picture that JPEG makes nothing of: the worst case for size.
func noise(t *testing.T, w, h int) []byte {
	t.Helper()
	rnd := rand.New(rand.NewPCG(1, 2))
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			img.SetRGBA(x, y, color.RGBA{uint8(rnd.UintN(256)), uint8(rnd.UintN(256)), uint8(rnd.UintN(256)), 255})
		}
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// withOverlays writes a picture for every overlay of a result but the last.
func withOverlays(t *testing.T, res *orchard.VisitResult, data []byte) (dir string) {
	t.Helper()
	dir = t.TempDir()
	if err := os.Mkdir(filepath.Join(dir, "overlays"), 0o755); err != nil {
		t.Fatal(err)
	}
	for _, p := range res.Photos {
		if p.Overlay == "" || !filepath.IsLocal(p.Overlay) {
			continue
		}
		if err := os.WriteFile(filepath.Join(dir, p.Overlay), data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// alone fails where a page refers to anything outside itself or to a place that is not
// in it, and returns its pictures.
func alone(t *testing.T, page []byte) (images []element) {
	t.Helper()
	ids := map[string]bool{}
	var links []string
	for _, e := range parse(t, page) {
		if id := e.attr["id"]; id != "" {
			if ids[id] {
				t.Errorf("id %q stands twice", id)
			}
			ids[id] = true
		}
		if href, ok := e.attr["href"]; ok {
			if !strings.HasPrefix(href, "#") {
				t.Errorf("a link leads out of the file: %q", href)
			}
			links = append(links, strings.TrimPrefix(href, "#"))
		}
		if e.name == "script" || e.name == "link" || e.name == "iframe" || e.attr["onerror"] != "" {
			t.Errorf("the page has a <%s %v>", e.name, e.attr)
		}
		if e.name == "img" {
			images = append(images, e)
		}
	}
	for _, l := range links {
		if !ids[l] {
			t.Errorf("a link leads to #%s, which is not there", l)
		}
	}
	return images
}

// within decodes a picture that a page holds.
func within(t *testing.T, e element) ([]byte, image.Config) {
	t.Helper()
	text, ok := strings.CutPrefix(e.attr["src"], "data:image/jpeg;base64,")
	if !ok {
		t.Fatalf("a picture lies outside the page: %.80s", e.attr["src"])
	}
	data, err := base64.StdEncoding.DecodeString(text)
	if err != nil {
		t.Fatal(err)
	}
	c, err := jpeg.DecodeConfig(bytes.NewReader(data))
	if err != nil || strconv.Itoa(c.Width) != e.attr["width"] || strconv.Itoa(c.Height) != e.attr["height"] {
		t.Errorf("picture of %d x %d, said to be %s x %s, %v", c.Width, c.Height, e.attr["width"], e.attr["height"], err)
	}
	return data, c
}

func TestOneTreesFileStandsAlone(t *testing.T) {
	res := fixture()
	data := noise(t, 320, 240)
	dir := withOverlays(t, res, data)
	id := orchard.TreeID{Block: "b1", Row: 1, Tree: 3}
	var made Single
	page := bytesOf(t, func(w io.Writer) (err error) {
		made, err = WriteTree(w, res, fixtureOptions(), dir, id)
		return err
	})
	images := alone(t, page)
	if len(images) != 3 || made != (Single{Pictures: 3}) {
		t.Errorf("%d pictures of 3, %+v", len(images), made)
	}
	for _, e := range images {
		if got, _ := within(t, e); !bytes.Equal(got, data) {
			t.Error("a picture that fits was changed")
		}
	}
	// It is fourth and fifth of eleven with another, and stays that.
	text := string(page)
	for _, want := range []string{`id="` + anchor(id) + `"`, "Place 4–5 of the 11 trees", "River flat, row", "All pictures are within this file", "Power lines"} {
		if !strings.Contains(text, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
	for _, no := range []string{"Hill,", `id="order"`, `id="map"`, "trees.csv", "not there any more"} {
		if strings.Contains(text, no) {
			t.Errorf("the page of one tree says %q", no)
		}
	}
}

func TestOneBlocksFileStandsAloneAndStaysSmall(t *testing.T) {
	res := fixture()
	dir := withOverlays(t, res, noise(t, 1280, 960))
	const most = 3 << 20 // its 21 pictures have 25 MB
	var made Single
	page := bytesOf(t, func(w io.Writer) (err error) {
		made, err = writeSingle(w, res, fixtureOptions(), dir, &part{block: "b1"}, most)
		return err
	})
	if len(page) > most {
		t.Errorf("%d bytes, %d allowed", len(page), most)
	}
	images := alone(t, page)
	if len(images) < 20 || made.Pictures != len(images) {
		t.Errorf("%d pictures in the page, %+v said", len(images), made)
	}
	for _, e := range images {
		_, c := within(t, e)
		if c.Width > made.LongestPx || c.Width*3 != c.Height*4 {
			t.Errorf("a picture of %d x %d, %d at most said, 4 to 3 once", c.Width, c.Height, made.LongestPx)
		}
	}
	for _, tr := range res.Trees {
		if own := tr.ID.Block == "b1"; strings.Contains(string(page), `id="`+anchor(tr.ID)+`"`) != own {
			t.Errorf("%v: in the block %v, in its page %v", tr.ID, own, !own)
		}
	}
	for _, want := range []string{"7 trees of this block in order, of 11", "River flat", "made smaller", "1–3"} {
		if !strings.Contains(string(page), want) {
			t.Errorf("the page does not say %q", want)
		}
	}
	if strings.Contains(string(page), "Hill:") || strings.Contains(string(page), "IMG_2231") {
		t.Error("the page speaks of another block, or of a photo of no tree")
	}
}

// A picture that is gone, or whose path leads out of the folder, is said to be gone.
func TestSingleFileTakesNoForeignPicture(t *testing.T) {
	res := fixture()
	id := res.Trees[0].ID
	dir := withOverlays(t, res, noise(t, 64, 48))
	outside := filepath.Join(filepath.Dir(dir), "secret.jpg")
	if err := os.WriteFile(outside, noise(t, 64, 48), 0o644); err != nil {
		t.Fatal(err)
	}
	for i := range res.Photos {
		if p := &res.Photos[i]; p.Tree != nil && *p.Tree == id && p.Overlay != "" {
			p.Overlay = []string{"../secret.jpg", outside, "overlays/never-there.jpg"}[i%3]
		}
	}
	page := bytesOf(t, func(w io.Writer) error {
		_, err := WriteTree(w, res, fixtureOptions(), dir, id)
		return err
	})
	if images := alone(t, page); len(images) > 0 {
		t.Errorf("%d pictures from outside the folder", len(images))
	}
	if n := strings.Count(string(page), "not there any more"); n != 3 {
		t.Errorf("%d of 3 pictures said to be gone", n)
	}
}

func TestSingleFileOfNothingIsAnError(t *testing.T) {
	if _, err := WriteTree(io.Discard, fixture(), fixtureOptions(), "", orchard.TreeID{Block: "b1", Row: 9, Tree: 9}); err == nil {
		t.Error("a tree without photos has a page")
	}
	if _, err := WriteBlock(io.Discard, fixture(), fixtureOptions(), "", "b9"); err == nil {
		t.Error("a block without photos has a page")
	}
}

func TestSingleFileKeepsHostileNamesWords(t *testing.T) {
	res, opt := hostile(), fixtureOptions()
	for i := range res.Photos {
		res.Photos[i].Overlay = strings.ReplaceAll(res.Photos[i].Overlay, "/?", "?") // one that can lie in a folder
	}
	alone(t, bytesOf(t, func(w io.Writer) error {
		_, err := WriteBlock(w, res, opt, t.TempDir(), res.Trees[0].ID.Block)
		return err
	}))
}
