package orchard

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"
)

// Assignment is a row of photos.csv.
type Assignment struct {
	Photo string // as written, slashes
	Tree  TreeID
	Kind  Kind // "" where the row leaves it to the photo's name and board
	// AlleySide is left or right, "" where the row leaves it to the name.
	AlleySide string
	Line      int
}

// LoadPhotosCSV reads the photos.csv of an orchard folder; none is no error. Rows
// that cannot be used come as problems, the rest is returned.
func LoadPhotosCSV(dir string, o *Orchard) ([]Assignment, Problems, error) {
	data, err := os.ReadFile(filepath.Join(dir, PhotosFile))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil, nil
	}
	if err != nil {
		return nil, nil, fmt.Errorf("orchard: read %s: %w", PhotosFile, err)
	}
	rows, problems := ParsePhotosCSV(PhotosFile, data, o)
	return rows, problems, nil
}

// ParsePhotosCSV reads the text of a photos.csv: columns photo, block, row, tree,
// kind and, where wanted, alley_side, by name in any order. The photo is its path within the orchard folder, or
// its path or name within the visit.
func ParsePhotosCSV(name string, data []byte, o *Orchard) ([]Assignment, Problems) {
	s := readSheet(name, data, []string{"photo", "block", "row", "tree", "kind"}, []string{"alley_side", "note"})
	var rows []Assignment
	for _, r := range s.rows {
		a := Assignment{Photo: cleanPath(r.cell("photo")), Line: r.line}
		if a.Photo == "" {
			r.refuse("photo is empty", "give the photo's name, as IMG_0012.jpg")
			continue
		}
		var ok bool
		if a.Tree, ok = r.tree(o); !ok {
			continue
		}
		kind := strings.ToLower(r.cell("kind"))
		if a.Kind = ParseKind(kind); a.Kind == "" && kind != "" {
			r.refuse(fmt.Sprintf("kind is %q", kind), "give floor, side, alley or up")
			continue
		}
		if a.AlleySide = strings.ToLower(r.cell("alley_side")); a.AlleySide != "" && a.AlleySide != "left" && a.AlleySide != "right" {
			r.refuse(fmt.Sprintf("alley_side is %q", a.AlleySide), "give left or right, seen along the row from its tree 1, or leave it empty")
			continue
		}
		rows = append(rows, a)
	}
	return rows, s.problems
}

// ParseKind returns the kind of a word in any case, "" for another word.
func ParseKind(word string) Kind {
	word = strings.NewReplacer(" ", "", "-", "", "_", "").Replace(strings.ToLower(word)) // alley floor
	switch k := Kind(word); k {
	case Floor, Side, Alley, AlleyFloor, Up:
		return k
	}
	return ""
}

// cleanPath writes a path as the records do: slashes, no "./"; "" for an empty one.
func cleanPath(p string) string {
	if p == "" {
		return ""
	}
	return path.Clean(strings.ReplaceAll(p, `\`, "/"))
}

// sheetIndex finds the rows of photos.csv that mean a photo. Names are compared in
// small letters: cameras write IMG_0012.JPG, people img_0012.jpg.
type sheetIndex struct {
	rows map[string][]Assignment // by small path or name
	base map[string]int          // how many photos have a base name
	used map[int]bool            // lines that meant a photo
	seen map[string]bool         // visits of the photos
}

func newSheetIndex(photos []Seen, rows []Assignment) *sheetIndex {
	x := &sheetIndex{map[string][]Assignment{}, map[string]int{}, map[int]bool{}, map[string]bool{}}
	for _, a := range rows {
		key := strings.ToLower(a.Photo)
		x.rows[key] = append(x.rows[key], a)
	}
	for _, s := range photos {
		x.base[strings.ToLower(path.Base(s.Path))]++
		x.seen[strings.ToLower(s.Visit)] = true
	}
	return x
}

// find returns the rows that mean a photo by its path, its path within the visit,
// or its bare name; bare says that only the last did.
func (x *sheetIndex) find(s Seen) (rows []Assignment, bare bool) {
	full, base := strings.ToLower(s.Path), strings.ToLower(path.Base(s.Path))
	within := strings.TrimPrefix(full, strings.ToLower(path.Join(PhotosDir, s.Visit))+"/")
	for _, key := range []string{full, within, base} {
		if rows := x.rows[key]; len(rows) > 0 {
			return rows, key == base
		}
	}
	return nil, false
}

// place places a photo by its row; false where it has none.
func (x *sheetIndex) place(p *Placement, s Seen) bool {
	rows, bare := x.find(s)
	if len(rows) == 0 {
		return false
	}
	for _, a := range rows {
		x.used[a.Line] = true
	}
	a, last := rows[0], rows[len(rows)-1]
	n := x.base[strings.ToLower(path.Base(s.Path))]
	switch i := differing(rows); {
	case i > 0:
		p.unplaced(fmt.Sprintf("%s gives it two trees, kinds or sides, on lines %d and %d", PhotosFile, a.Line, rows[i].Line), "keep the row that is right")
	case bare && n > 1:
		p.unplaced(fmt.Sprintf("%s line %d names it, but %d photos of the visit have this name", PhotosFile, last.Line, n), "give the path there, as "+s.Path)
	default:
		if p.at(a.Tree, a.Kind, BySheet, s); (p.Kind == Alley || p.Kind == Side) && a.AlleySide != "" {
			p.AlleySide = a.AlleySide
		}
	}
	return true
}

// differing returns the first row that says other than the first, 0 for none.
func differing(rows []Assignment) int {
	for i, a := range rows {
		if a.Tree != rows[0].Tree || a.Kind != rows[0].Kind || a.AlleySide != rows[0].AlleySide {
			return i
		}
	}
	return 0
}

// unused returns the rows that meant no photo, those for other visits left out.
func (x *sheetIndex) unused(rows []Assignment) []Assignment {
	var left []Assignment
	for _, a := range rows {
		in, isPath := strings.CutPrefix(strings.ToLower(a.Photo), PhotosDir+"/")
		visit, _, _ := strings.Cut(in, "/")
		if !x.used[a.Line] && (!isPath || x.seen[visit]) {
			left = append(left, a)
		}
	}
	return left
}
