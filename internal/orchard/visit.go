package orchard

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// maxVisitLen keeps a visit's name below what file systems take.
const maxVisitLen = 100

// CheckVisit refuses a visit's name that could not safely name a folder.
func CheckVisit(name string) error {
	const mend = "name a visit by its day, as 2026-03-14"
	bad := func(r rune) bool { return strings.ContainsRune(`/\:*?"<>|`, r) || !unicode.IsPrint(r) }
	switch {
	case name == "":
		return Problem{File: "visit", What: "the name is empty", Mend: mend}
	case strings.HasPrefix(name, "."), len(name) > maxVisitLen, !utf8.ValidString(name),
		strings.ContainsFunc(name, bad), strings.TrimSpace(name) != name:
		return Problem{File: "visit", What: fmt.Sprintf("%q cannot name a folder", name), Mend: mend}
	}
	return nil
}

// Visits returns the visits of an orchard folder, sorted by name, and what in
// photos/ is no visit: photos outside any visit, links to nowhere. Hidden folders
// are passed over. No photos folder: no visits.
func Visits(dir string) (visits []string, problems Problems, err error) {
	entries, err := os.ReadDir(filepath.Join(dir, PhotosDir))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil, nil
	}
	if err != nil {
		return nil, nil, fmt.Errorf("orchard: read folder: %w", err)
	}
	for _, e := range entries {
		name, at := e.Name(), path.Join(PhotosDir, e.Name())
		info, err := os.Stat(filepath.Join(dir, PhotosDir, name)) // a link to a visit's folder will do
		switch {
		case strings.HasPrefix(name, "."):
		case err != nil:
			problems = append(problems, unreadable(at, err))
		case info.IsDir():
			if err := CheckVisit(name); err != nil {
				problems = append(problems, Problem{File: at, What: "the name cannot be a visit's", Mend: "name the folder by the visit's day, as 2026-03-14"})
				continue
			}
			visits = append(visits, name)
		case IsPhoto(name):
			problems = append(problems, Problem{File: at, What: "lies outside any visit", Mend: "move it into a folder of its visit, as photos/2026-03-14/"})
		}
	}
	slices.Sort(visits)
	return visits, problems, nil
}

// NewestVisit returns the last visit by name, which is the newest where visits are
// named by their day, as 2026-03-14.
func NewestVisit(dir string) (string, error) {
	visits, _, err := Visits(dir)
	if err != nil {
		return "", err
	}
	if len(visits) == 0 {
		return "", Problem{File: PhotosDir, What: "there is no visit yet", Mend: "put the photos of a visit into a folder of its day, as photos/2026-03-14/"}
	}
	return visits[len(visits)-1], nil
}

// IsPhoto says whether a file's name ends as photos' names do, those included
// that Rowlight cannot read, so that it can say so. Names that begin with a dot
// are no photos: macOS leaves ._IMG_0001.jpg beside copies.
func IsPhoto(name string) bool {
	if strings.HasPrefix(path.Base(filepath.ToSlash(name)), ".") {
		return false
	}
	switch strings.ToLower(path.Ext(name)) {
	case ".jpg", ".jpeg", ".jpe", ".jfif", ".png", ".tif", ".tiff", ".webp", ".bmp", ".gif",
		".heic", ".heif", ".hif", ".avif", ".jxl", ".jp2",
		".dng", ".raw", ".cr2", ".cr3", ".nef", ".arw", ".orf", ".rw2", ".raf", ".pef", ".srw":
		return true
	}
	return false
}

// Scan is what lies in a visit's folder.
type Scan struct {
	Visit    string
	Photos   []string // within the orchard folder, slashes, sorted
	Ignored  int      // other files
	Problems Problems // what could not be looked at; the rest was
}

// ScanVisit lists the photos of a visit: those in its folder and in folders
// within, one level deep (one for each camera or block, say). The error is for a
// visit that is not there or cannot be read at all.
func ScanVisit(dir, visit string) (*Scan, error) {
	if err := CheckVisit(visit); err != nil {
		return nil, err
	}
	at := path.Join(PhotosDir, visit)
	s := &Scan{Visit: visit}
	entries, err := os.ReadDir(filepath.Join(dir, filepath.FromSlash(at)))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, Problem{File: at, What: "there is no such folder", Mend: visitsMend(dir)}
	}
	if err != nil {
		return nil, unreadable(at, err)
	}
	for _, e := range entries {
		if e.IsDir() && !strings.HasPrefix(e.Name(), ".") {
			s.folder(dir, path.Join(at, e.Name()))
			continue
		}
		s.entry(dir, path.Join(at, e.Name()), e)
	}
	slices.Sort(s.Photos)
	return s, nil
}

// folder takes in a folder within the visit's.
func (s *Scan) folder(dir, at string) {
	entries, err := os.ReadDir(filepath.Join(dir, filepath.FromSlash(at)))
	if err != nil {
		s.Problems = append(s.Problems, unreadable(at, err))
	}
	for _, e := range entries { // those read before an error too
		in := path.Join(at, e.Name())
		if e.IsDir() && !strings.HasPrefix(e.Name(), ".") {
			s.Problems = append(s.Problems, Problem{File: in, What: "lies too deep and was not looked at", Mend: "move its photos up, into the visit's folder or one within"})
			continue
		}
		s.entry(dir, in, e)
	}
}

// entry takes in one entry that is no folder to look into.
func (s *Scan) entry(dir, at string, e fs.DirEntry) {
	if e.Type()&fs.ModeSymlink != 0 && !strings.HasPrefix(e.Name(), ".") {
		info, err := os.Stat(filepath.Join(dir, filepath.FromSlash(at)))
		switch {
		case err != nil:
			s.Problems = append(s.Problems, unreadable(at, err))
			return
		case info.IsDir():
			s.Problems = append(s.Problems, Problem{File: at, What: "is a link to a folder and was not looked at", Mend: "copy its photos into the visit's folder"})
			return
		}
		e = fs.FileInfoToDirEntry(info)
	}
	switch {
	case !IsPhoto(path.Base(at)):
		s.Ignored++
	case !utf8.ValidString(at): // the records could not name it
		s.Problems = append(s.Problems, Problem{File: at, What: "its name is not in UTF-8, and was not looked at", Mend: "rename it in letters and digits"})
	case !e.Type().IsRegular():
		s.Problems = append(s.Problems, Problem{File: at, What: "is no ordinary file", Mend: "put the photo itself there"})
	default:
		s.Photos = append(s.Photos, at)
	}
}

func unreadable(at string, err error) Problem {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		err = pe.Err // the path is named once, within the orchard folder
	}
	return Problem{File: at, What: fmt.Sprintf("cannot be read (%v)", err), Mend: "check that it is there and that you may read it"}
}

func visitsMend(dir string) string {
	visits, _, err := Visits(dir)
	if err != nil || len(visits) == 0 {
		return "put the photos of a visit into a folder of its day, as photos/2026-03-14/"
	}
	return "the visits are " + strings.Join(visits, ", ")
}
