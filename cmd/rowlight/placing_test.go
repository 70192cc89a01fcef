package main

import (
	"bytes"
	"encoding/json"
	"image"
	"image/color"
	"os"
	"path"
	"path/filepath"
	"strings"
	"testing"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"

	"rowlight/internal/orchard"
)

// takenAt gives a photo the EXIF of practice_floor_00 with another time of that
// day, so that all of them come from one camera.
func takenAt(t *testing.T, photo []byte, clock string) []byte {
	t.Helper()
	floor := rendered(t, "practice_floor_00")
	from, to := segment(t, floor, markAPP1)
	exif := bytes.ReplaceAll(floor[from:to], []byte("13:24:00"), []byte(clock))
	if bytes.Equal(exif, floor[from:to]) && clock != "13:24:00" {
		t.Fatal("the photo's time is not 13:24:00")
	}
	rest := photo[2:]
	if photo[3] == markAPP1 {
		_, end := segment(t, photo, markAPP1)
		rest = photo[end:]
	}
	return append(append(bytes.Clone(photo[:2]), exif...), rest...)
}

// cardPhoto is a tree's QR card on grey ground.
func cardPhoto(t *testing.T, id orchard.TreeID) []byte {
	t.Helper()
	const codePx, marginPx = 420, 150
	code, err := qrcode.NewQRCodeWriter().Encode(orchard.CardText(id), gozxing.BarcodeFormat_QR_CODE, codePx, codePx, nil)
	if err != nil {
		t.Fatal(err)
	}
	img := image.NewGray(image.Rect(0, 0, codePx+2*marginPx, codePx+2*marginPx))
	for i := range img.Pix {
		img.Pix[i] = 150 + uint8(i%7)
	}
	for y := range codePx {
		for x := range codePx {
			c := uint8(235)
			if code.Get(x, y) {
				c = 25
			}
			img.SetGray(marginPx+x, marginPx+y, color.Gray{Y: c})
		}
	}
	return asJPEG(t, img)
}

// A photo finds its tree by photos.csv, by its name, by the card before it in
// capture time; what none of them places is listed.
func TestPhotosFindTheirTrees(t *testing.T) {
	if testing.Short() {
		t.Skip("measures photos")
	}
	floor, side := rendered(t, "practice_floor_00"), rendered(t, "practice_side_02") // boards 17 and 20
	other := rendered(t, "practice_c_floor_10")
	dir := layOrchard(t, []badPhoto{
		// In the order of names, not of time: the clock decides.
		{name: "IMG_0001.jpg", data: takenAt(t, floor, "13:24:00")}, // after the card
		{name: "IMG_0002.jpg", data: takenAt(t, side, "13:25:00")},  // after it, board kept for sides
		{name: "IMG_0003.jpg", data: takenAt(t, cardPhoto(t, orchard.TreeID{Block: "b1", Row: 2, Tree: 3}), "13:20:00")},
		{name: "IMG_0004.jpg", data: takenAt(t, other, "13:10:00")}, // before any card
		{name: "IMG_0005.jpg", data: takenAt(t, other, "13:26:00")}, // after it, but photos.csv says another tree
		{name: "b1-r03-t06-floor-2.jpg", data: takenAt(t, rendered(t, "practice_floor_04"), "13:27:00")},
	})
	toml := filepath.Join(dir, orchard.FileName)
	text := append(mustRead(t, toml), "[cards]\nside_boards = [20]\n"...)
	sheet := "photo,block,row,tree,kind\nIMG_0005.jpg,b1,1,1,floor\n"
	if err := os.WriteFile(toml, text, 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, orchard.PhotosFile), []byte(sheet), 0o644); err != nil {
		t.Fatal(err)
	}
	code, _, stderr := inProcess(t, "assess", dir)
	if code != exitSomeRefused {
		t.Errorf("exit status %d, want %d for the photo without a tree\n%s", code, exitSomeRefused, stderr)
	}
	if line, named := lineOf(stderr, "IMG_0004.jpg"); !named || !strings.Contains(line, "no tree card in it or before it") || !strings.Contains(line, orchard.PhotosFile) {
		t.Errorf("the photo without a tree: %q", line)
	}
	var res orchard.VisitResult
	if err := json.Unmarshal(mustRead(t, filepath.Join(dir, "results", testVisit, "results.json")), &res); err != nil {
		t.Fatal(err)
	}
	want := map[string]string{
		"IMG_0001.jpg": "b1-r02-t03 floor tree card measured", "IMG_0002.jpg": "b1-r02-t03 side tree card measured",
		"IMG_0003.jpg": "b1-r02-t03  tree card card", "IMG_0004.jpg": "   unplaced",
		"IMG_0005.jpg": "b1-r01-t01 floor photos.csv measured", "b1-r03-t06-floor-2.jpg": "b1-r03-t06 floor file name measured",
	}
	for _, p := range res.Photos {
		tree := p.Tree
		if tree == nil {
			tree = p.CardTree
		}
		id := ""
		if tree != nil {
			id = tree.String()
		}
		if got := strings.Join([]string{id, string(p.Kind), p.PlacedBy, string(p.Status)}, " "); got != want[path.Base(p.Path)] {
			t.Errorf("%s: %q, want %q (%s)", p.Path, got, want[path.Base(p.Path)], p.Reason)
		}
	}
	if len(res.Photos) != len(want) {
		t.Errorf("%d photos in results.json, want %d", len(res.Photos), len(want))
	}
}
