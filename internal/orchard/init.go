package orchard

import (
	_ "embed"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

//go:embed template.toml
var template string

// Template returns a commented orchard file, of an invented orchard, to begin
// with. It parses as it is.
func Template() string { return template }

// Names within an orchard folder.
const (
	PhotosDir    = "photos"       // one folder a visit within
	ResultsDir   = "results"      // what Rowlight writes
	PhotosFile   = "photos.csv"   // which tree and kind a photo shows
	MeasuredFile = "measured.csv" // widths and heights taken by tape
)

const photosTemplate = `# Which tree and kind each photo shows, where its name or a tree card does not
# say it. photo: as "photos/2026-03-14/IMG_0012.jpg", or only its name.
# kind: floor, side, alley or up. A column alley_side may be added: left or right,
# seen along the row from its tree 1, where a tree's two alleys were both taken; of a
# side photo, the alley it was taken from.
# An example (take the # away):
# IMG_0012.jpg,b1,3,11,floor
photo,block,row,tree,kind
`

const measuredTemplate = `# Widths and heights taken by tape where no photo can be taken.
# quantity: width, height or clear_alley (the narrower of a tree's two alleys);
# value_m in metres; uncertainty_m: how far
# off it may be, metres, may be left empty. An example (take the # away):
# b1,3,11,2026-03-14,clear_alley,1.85,0.10,too narrow for a photo
block,row,tree,visit,quantity,value_m,uncertainty_m,note
`

// Init lays out an orchard folder: orchard.toml, photos.csv, measured.csv and
// marks.csv with their head lines, and the folders photos and results. What is there already is
// left as it is. Returned are the names made and the names kept.
func Init(dir string) (made, kept []string, err error) {
	for _, d := range []string{"", PhotosDir, ResultsDir} {
		if err := os.MkdirAll(filepath.Join(dir, d), 0o755); err != nil {
			return made, kept, fmt.Errorf("orchard: make folder: %w", err)
		}
	}
	for _, f := range []struct{ name, text string }{
		{FileName, template}, {PhotosFile, photosTemplate}, {MeasuredFile, measuredTemplate}, {MarksFile, marksTemplate},
	} {
		err := writeNew(filepath.Join(dir, f.name), f.text)
		switch {
		case err == nil:
			made = append(made, f.name)
		case errors.Is(err, fs.ErrExist):
			kept = append(kept, f.name)
		default:
			return made, kept, fmt.Errorf("orchard: write %s: %w", f.name, err)
		}
	}
	return made, kept, nil
}

// writeNew writes a file that must not be there yet, and leaves none behind that
// is only half written.
func writeNew(path, text string) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	_, err = f.WriteString(text)
	if err := errors.Join(err, f.Close()); err != nil {
		return errors.Join(err, os.Remove(path))
	}
	return nil
}
