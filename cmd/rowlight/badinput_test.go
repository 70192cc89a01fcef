package main

import (
	"bytes"
	"context"
	"database/sql"
	"encoding/csv"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	_ "modernc.org/sqlite"

	"rowlight/internal/orchard"
)

const testVisit = "2026-08-14"

// layOrchard begins an orchard with one block of 3 x 6 trees and these photos.
func layOrchard(t *testing.T, photos []badPhoto) string {
	t.Helper()
	dir := t.TempDir()
	text := `name = "Test orchard"
[place]
latitude_deg = -28
longitude_deg = 152.5
time_zone = "Etc/GMT-10"
[[blocks]]
key = "b1"
habit = "vigorous"
rows = 3
trees_per_row = 6
row_spacing_m = 8
tree_spacing_m = 5
row_direction_deg = 0
`
	at := filepath.Join(dir, orchard.PhotosDir, testVisit)
	err := errors.Join(os.MkdirAll(at, 0o755), os.WriteFile(filepath.Join(dir, orchard.FileName), []byte(text), 0o644))
	for _, p := range photos {
		err = errors.Join(err, os.WriteFile(filepath.Join(at, p.name), p.data, 0o644))
	}
	if err != nil {
		t.Fatal(err)
	}
	return dir
}

// inProcess runs rowlight here and returns its exit status and what it printed.
func inProcess(t *testing.T, args ...string) (code int, stdout, stderr string) {
	t.Helper()
	var out, errs bytes.Buffer
	code = run(context.Background(), append([]string{"rowlight"}, args...), &out, &errs)
	return code, out.String(), errs.String()
}

// lineOf returns the line of stderr that names a photo, without its name.
func lineOf(stderr, name string) (string, bool) {
	for _, line := range strings.Split(stderr, "\n") {
		if rest, ok := strings.CutPrefix(line, orchard.PhotosDir+"/"+testVisit+"/"+name+": "); ok {
			return rest, true
		}
	}
	return "", false
}

func soundDatabase(t *testing.T, dir string) {
	t.Helper()
	soundFile(t, filepath.Join(dir, "results", "rowlight.db"))
}

func soundFile(t *testing.T, name string) {
	t.Helper()
	db, err := sql.Open("sqlite", name)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	var said string
	if err := db.QueryRow("PRAGMA integrity_check").Scan(&said); err != nil || said != "ok" {
		t.Errorf("database: %q, %v; want it sound", said, err)
	}
}

// Every bad photo gets a line that names it and the mend, the photos beside them
// are measured, the report is written and the database is sound.
func TestBadPhotosAreNamedAndTheBatchGoesOn(t *testing.T) {
	if testing.Short() {
		t.Skip("measures many photos one after another: minutes under the race detector, and nothing for it to find")
	}
	photos := badPhotos(t)
	dir := layOrchard(t, photos)
	code, stdout, stderr := inProcess(t, "assess", dir)
	if code != exitSomeRefused {
		t.Errorf("exit status %d, want %d\n%s", code, exitSomeRefused, stderr)
	}
	for _, p := range photos {
		line, named := lineOf(stderr, p.name)
		switch {
		case named != (p.reason != ""):
			t.Errorf("%s: a line of its own: %v (%s)", p.name, named, line)
		case !strings.Contains(line, p.reason) || !strings.Contains(line, p.mend):
			t.Errorf("%s: %q does not say %q and %q", p.name, line, p.reason, p.mend)
		}
	}
	if got, want := sunlitShares(t, dir, testVisit), []string{"row 1 tree 1", "row 2 tree 2", "row 2 tree 4", "row 2 tree 5"}; !slices.Equal(got, want) {
		t.Errorf("trees with a sunlit share: %v, want %v", got, want)
	}
	if !strings.Contains(stdout, "9 photos without a number") || !strings.Contains(stdout, "Report: ") {
		t.Errorf("the last lines do not count the photos or name the report:\n%s", stdout)
	}
	soundDatabase(t, dir)
}

// sunlitShares returns the trees of a visit's trees.csv that have a sunlit share.
func sunlitShares(t *testing.T, dir, visit string) []string {
	t.Helper()
	rows, err := csv.NewReader(bytes.NewReader(mustRead(t, filepath.Join(dir, "results", visit, "trees.csv")))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	share, row, tree := slices.Index(rows[0], "sunlit_fraction"), slices.Index(rows[0], "row"), slices.Index(rows[0], "tree")
	var out []string
	for _, cells := range rows[1:] {
		if cells[share] != "" {
			out = append(out, "row "+cells[row]+" tree "+cells[tree])
		}
	}
	slices.Sort(out)
	return out
}

func mustRead(t *testing.T, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return data
}
