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
	Line  int
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
// kind by name in any order. The photo is its path within the orchard folder, or
// its path or name within the visit.
func ParsePhotosCSV(name string, data []byte, o *Orchard) ([]Assignment, Problems) {
	s := readSheet(name, data, []string{"photo", "block", "row", "tree", "kind"}, []string{"note"})
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
			r.refuse(fmt.Sprintf("kind is %q", kind), "give floor, side or alley")
			continue
		}
		rows = append(rows, a)
	}
	return rows, s.problems
}

// ParseKind returns the kind of a word in any case, "" for another word.
func ParseKind(word string) Kind {
	switch k := Kind(strings.ToLower(word)); k {
	case Floor, Side, Alley:
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
