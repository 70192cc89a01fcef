package orchard

import (
	"strings"
	"testing"
	"time"
)

const day = "photos/2026-03-14/"

// shot is a photo of the visit, taken some minutes after ten; below 0: no time.
func shot(name string, minute float64) Seen {
	s := Seen{Path: day + name, Visit: "2026-03-14", Camera: "one"}
	if minute >= 0 {
		at := time.Date(2026, 3, 14, 10, 0, 0, 0, time.UTC).Add(time.Duration(minute * float64(time.Minute)))
		s.TakenAt = &at
	}
	return s
}

func (s Seen) card(block string, row, tree int) Seen {
	s.CardTree = &TreeID{block, row, tree}
	return s
}

func (s Seen) board(hint Kind) Seen {
	s.Boards, s.KindHint = []int{17}, hint
	return s
}

// placed writes a placement down: "b1-r03-t07 floor by file name", "card b1-r01-t01"
// or "unplaced".
func placed(p Placement) string {
	switch p.Status {
	case Unplaced:
		return "unplaced"
	case Card:
		return "card " + p.Tree.String()
	}
	return p.Tree.String() + " " + string(p.Kind) + " by " + p.PlacedBy
}

func TestPlaceByName(t *testing.T) {
	o := smallOrchard(t)
	for name, want := range map[string]string{
		"b1-r03-t07-floor-2.jpg":     "b1-r03-t07 floor by file name",
		"B1_R3_T7_ALLEY.JPG":         "b1-r03-t07 alley by file name",
		"north-2-r9-t4-side.png":     "North-2-r09-t04 side by file name",
		"sub/b1-r1-t1-side.jpg":      "b1-r01-t01 side by file name",
		"b1-r03-t07-side-2 (1).jpg":  "b1-r03-t07 side by file name",
		"b1-r03-t07.jpg":             "unplaced", // no kind, no board
		"b1-r03-t07-flor.jpg":        "unplaced",
		"b1-r03-t07-floor-side.jpg":  "unplaced",
		"b9-r03-t07-floor.jpg":       "unplaced",
		"b1-r02-t05-floor.jpg":       "unplaced", // missing
		"b1-r03-t99-floor.jpg":       "unplaced",
		"IMG_0001.jpg":               "unplaced",
		"b1-r03-t99999999-floor.jpg": "unplaced",
	} {
		got, _ := o.PlacePhotos([]Seen{shot(name, 0)}, nil)
		if placed(got[0]) != want {
			t.Errorf("%s: %s (%s), want %s", name, placed(got[0]), got[0].Reason, want)
		}
		if got[0].Status == Unplaced && (got[0].Reason == "" || got[0].Mend == "") {
			t.Errorf("%s is unplaced without reason or mend: %+v", name, got[0])
		}
	}
	got, _ := o.PlacePhotos([]Seen{shot("b1-r03-t07.jpg", 0).board(Side)}, nil)
	if placed(got[0]) != "b1-r03-t07 side by file name" {
		t.Errorf("the board does not give the kind: %s", placed(got[0]))
	}
}

// TestCardDoesNotOverruleAName: a wrong name is not put right by a card nearby.
func TestCardDoesNotOverruleAName(t *testing.T) {
	got, _ := smallOrchard(t).PlacePhotos([]Seen{
		shot("a.jpg", 0).card("b1", 1, 1),
		shot("b9-r01-t01-floor.jpg", 1).board(Floor),
		shot("b1-r03-t07-floor.jpg", 2).board(Floor).card("b1", 3, 8),
	}, nil)
	if placed(got[1]) != "unplaced" || !strings.Contains(got[1].Reason, `no block "b9"`) {
		t.Errorf("%s: %s", placed(got[1]), got[1].Reason)
	}
	if placed(got[2]) != "b1-r03-t07 floor by file name" || len(got[2].Flags) != 1 || !strings.Contains(got[2].Flags[0], "row 3 tree 8") {
		t.Errorf("%s with flags %q", placed(got[2]), got[2].Flags)
	}
}

func TestPlaceByCard(t *testing.T) {
	o := smallOrchard(t)
	other := shot("h.jpg", 5).board(Side)
	other.Camera = "two"
	misread := shot("i.jpg", 60)
	misread.CardProblem = "tree card was misread"
	// Given out of order of time, as folders may be.
	photos := []Seen{
		shot("c.jpg", 2).board(Side),
		shot("a.jpg", 0).card("B1", 1, 1),
		shot("b.jpg", 0).board(Floor), // the same second, after it by name
		shot("d_alley.jpg", 3).board(Side),
		shot("e.jpg", 30).board(Side),    // at the limit
		shot("f.jpg", 30.02).board(Side), // past it
		shot("g.jpg", -1).board(Side),    // no time
		other,
		shot("0.jpg", -1).board(Floor).card("b1", 2, 2), // no time, card in it
		misread,
		shot("j.jpg", 61).board(Side), // after the misread card
		shot("k.jpg", 62).card("b9", 1, 1),
		shot("l.jpg", 63).board(Side), // after another orchard's card
		shot("m.jpg", 64).card("b1", 3, 3),
		shot("n.jpg", 65),                             // no board, no word
		shot("o.jpg", 66).board("").card("b1", 3, 4),  // board that says nothing
		shot("sub/p.jpg", 67).board(Side),             // another folder
		shot("b1-r03-t09-card.jpg", 68),               // card named, not read
		shot("q.jpg", 69).board(Floor),                // after it
		shot("b1-r03-t10-card.jpg", -1),               // card named, no time
		shot("floor_r.jpg", 70).card("north_2", 7, 1), // word, no board
	}
	want := []string{
		"b1-r01-t01 side by tree card", "card b1-r01-t01", "b1-r01-t01 floor by tree card", "b1-r01-t01 alley by tree card",
		"b1-r01-t01 side by tree card", "unplaced", "unplaced", "unplaced", "b1-r02-t02 floor by tree card",
		"unplaced", "unplaced", "unplaced", "unplaced", "card b1-r03-t03", "unplaced", "unplaced", "unplaced",
		"card b1-r03-t09", "b1-r03-t09 floor by tree card", "unplaced", "North-2-r07-t01 floor by tree card",
	}
	got, _ := o.PlacePhotos(photos, nil)
	if len(got) != len(photos) {
		t.Fatalf("%d placements for %d photos", len(got), len(photos))
	}
	for i, p := range got {
		if placed(p) != want[i] || p.Path != photos[i].Path {
			t.Errorf("%s: %s (%s), want %s", photos[i].Path, placed(p), p.Reason, want[i])
		}
		if p.Status == Unplaced && (p.Reason == "" || p.Mend == "") {
			t.Errorf("%s is unplaced without reason or mend", p.Path)
		}
	}
	for i, say := range map[int]string{5: "the limit is 30 min", 6: "without a capture time", 10: "misread", 12: `no block "b9"`, 14: "whether it is floor, side, alley or up"} {
		if !strings.Contains(got[i].Reason, say) {
			t.Errorf("%s: reason %q, want %q", got[i].Path, got[i].Reason, say)
		}
	}
}

func TestPlaceBySheet(t *testing.T) {
	o := smallOrchard(t)
	rows, problems := ParsePhotosCSV(PhotosFile, []byte(`kind,photo,row,tree,block
floor,img_1.jpg,1,1,b1
side,photos/2026-03-14/IMG_2.jpg,1,2,b1
alley,sub\IMG_3.jpg,1,3,b1
,b1-r03-t10-alley.jpg,1,4,b1
floor,IMG_5.jpg,1,5,b1
side,IMG_5.jpg,1,5,b1
floor,IMG_6.jpg,1,6,b1
floor,IMG_7.jpg,1,7,b1
floor,photos/2026-03-14/gone.jpg,1,8,b1
floor,photos/2025-01-01/IMG_1.jpg,1,9,b1
`), o)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	photos := []Seen{
		shot("IMG_1.JPG", 0).card("b1", 3, 3).board(Side), shot("IMG_2.jpg", -1), shot("sub/IMG_3.jpg", 0), shot("b1-r03-t10-alley.jpg", 0),
		shot("IMG_5.jpg", 0), shot("am/IMG_6.jpg", 0), shot("pm/IMG_6.jpg", 0), shot("deep/IMG_7.jpg", 0),
	}
	want := []string{
		"b1-r01-t01 floor by photos.csv", "b1-r01-t02 side by photos.csv", "b1-r01-t03 alley by photos.csv", "b1-r01-t04 alley by photos.csv",
		"unplaced", "unplaced", "unplaced", "b1-r01-t07 floor by photos.csv",
	}
	got, unused := o.PlacePhotos(photos, rows)
	for i, p := range got {
		if placed(p) != want[i] {
			t.Errorf("%s: %s (%s), want %s", p.Path, placed(p), p.Reason, want[i])
		}
	}
	if !strings.Contains(got[4].Reason, "lines 6 and 7") || !strings.Contains(got[5].Reason, "2 photos of the visit") {
		t.Errorf("reasons %q and %q", got[4].Reason, got[5].Reason)
	}
	if len(unused) != 1 || unused[0].Photo != "photos/2026-03-14/gone.jpg" || unused[0].Line != 10 {
		t.Errorf("unused rows %+v, want the one for gone.jpg", unused)
	}
}

// A board kept for one kind of shot tells the kind of an upright photo; lying flat
// it is a floor's board still.
func TestBoardsKeptForAKind(t *testing.T) {
	o := smallOrchard(t)
	o.Cards.SideBoards, o.Cards.AlleyBoards = []int{4}, []int{7, 8}
	with := func(name string, hint Kind, boards ...int) Seen {
		s := shot(name, 1).board(hint)
		s.Boards = boards
		return s
	}
	for _, c := range []struct {
		photo Seen
		want  string
	}{
		{with("a.jpg", "", 4), "b1-r01-t01 side by tree card"},
		{with("b.jpg", "", 8), "b1-r01-t01 alley by tree card"},
		{with("c.jpg", "", 7, 9, 8), "b1-r01-t01 alley by tree card"},
		{with("d.jpg", Floor, 4), "b1-r01-t01 floor by tree card"},
		{with("e.jpg", "", 4, 7), "unplaced"},
		{with("f.jpg", "", 9), "unplaced"},
		{with("g-alley.jpg", "", 4), "b1-r01-t01 alley by tree card"},
		{with("b1-r03-t07.jpg", "", 4), "b1-r03-t07 side by file name"},
	} {
		got, _ := o.PlacePhotos([]Seen{shot("0.jpg", 0).card("b1", 1, 1), c.photo}, nil)
		if placed(got[1]) != c.want {
			t.Errorf("%s: %s (%s), want %s", c.photo.Path, placed(got[1]), got[1].Reason, c.want)
		}
	}
}
