package orchard

import "testing"

func TestAlleySide(t *testing.T) {
	o := &Orchard{Blocks: []Block{{Key: "b1", Rows: []int{1}, RowTrees: []int{4}}}}
	rows, problems := ParsePhotosCSV(PhotosFile, []byte("photo,block,row,tree,kind,alley_side\nIMG_1.jpg,b1,1,1,alley,Right\nIMG_2-left.jpg,b1,1,1,alley,\nIMG_3.jpg,b1,1,2,alley,up\nIMG_4.jpg,b1,1,2,side,left\n"), o)
	if len(problems) != 1 || problems[0].Line != 4 {
		t.Errorf("problems %v, want one, of line 4", problems)
	}
	for name, want := range map[string]string{
		"b1-r01-t01-alley-left.jpg": "left", "b1-r01-t01-alley-Right-2.jpg": "right", "b1-r01-t01-alley.jpg": "",
		"b1-r01-t01-alley-left-right.jpg": "", "b1-r01-t01-side-left.jpg": "",
		"b1-r01-t01-side-from-left.jpg": "left", "b1-r01-t01-side-2-from-Right.jpg": "right", "b1-r01-t01-side-from.jpg": "",
		"IMG_1.jpg": "right", "IMG_2-left.jpg": "left", "IMG_4.jpg": "left",
	} {
		placed, _ := o.PlacePhotos([]Seen{{Path: "photos/v/" + name, Visit: "v"}}, rows)
		if p := placed[0]; p.Status != "" || p.AlleySide != want {
			t.Errorf("%s: status %q, side %q, want %q", name, p.Status, p.AlleySide, want)
		}
	}
}
