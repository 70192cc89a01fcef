package main

import (
	"encoding/json"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"rowlight/internal/orchard"
)

// files lists what lies below a folder, each with its content.
func files(t *testing.T, dir string) map[string]string {
	t.Helper()
	out := map[string]string{}
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := os.ReadFile(path)
		rel, _ := filepath.Rel(dir, path)
		out[filepath.ToSlash(rel)] = string(data)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// Whatever names, notes and cameras say, it stays words: in every file that rowlight
// writes and on the terminal; and nothing is written but where it should be.
func TestHostileNamesStayWordsEverywhere(t *testing.T) {
	if testing.Short() {
		t.Skip("measures photos: slow under the race detector, and nothing for it to find")
	}
	dir := hostileOrchard(t)
	above := filepath.Dir(dir)
	before := files(t, above)
	for _, c := range []struct {
		exit int
		args []string
	}{
		{exitOK, []string{"boards", "--numbers", "0", dir}},
		{exitSomeRefused, []string{"assess", "--visit", hostileBefore, dir}},
		{exitSomeRefused, []string{"assess", "--visit", hostileAfter, "--json", dir}},
		{exitOK, []string{"plan", "--visit", hostileBefore, dir}},
		{exitOK, []string{"plan", "--visit", hostileAfter, "--json", dir}},
		{exitOK, []string{"compare", "--before", hostileBefore, "--after", hostileAfter, dir}},
		{exitOK, []string{"compare", "--before", hostileBefore, "--after", hostileAfter, "--json", dir}},
		{exitOK, []string{"history", dir}},
		{exitOK, []string{"history", "--json", dir}},
		{exitOK, []string{"explain", "--visit", hostileBefore, dir, "b1-r01-t01"}},
		{exitOK, []string{"report", "--visit", hostileBefore, dir, "b1-r01-t01"}},
		{exitSomeRefused, append([]string{"check", "--kind", "floor"}, photosBelow(t, dir)...)},
		{exitSomeRefused, append([]string{"check", "--json"}, photosBelow(t, dir)...)},
		{exitCannotRun, []string{"lens", filepath.Join(dir, orchard.PhotosDir, hostileAfter)}},
	} {
		code, stdout, stderr := inProcess(t, c.args...)
		if code != c.exit {
			t.Errorf("%s: exit status %d, want %d\n%s", c.args[0], code, c.exit, stderr)
		}
		onTerminal(t, c.args[0], stdout)
		onTerminal(t, c.args[0], stderr)
		if slices.Contains(c.args, "--json") {
			jsonLines(t, c.args[0], stdout)
		}
	}
	after := files(t, above)
	for name, data := range before {
		if after[name] != data {
			t.Errorf("%q was changed", name)
		}
	}
	kinds := map[string]int{}
	for name, data := range after {
		if _, there := before[name]; there {
			continue
		}
		if in, ok := strings.CutPrefix(name, "orchard/results/"); !ok && name != "orchard/boards.pdf" && name != "orchard/tree-cards.pdf" || strings.Contains(in, "..") && !strings.HasPrefix(in, hostileAfter) {
			t.Errorf("%q was written", name)
		}
		kinds[filepath.Ext(name)]++
		switch filepath.Ext(name) {
		case ".html":
			pageStaysOurs(t, filepath.Join(above, filepath.FromSlash(name)), data)
		case ".csv":
			cellsStayWords(t, name, data)
		case ".pdf":
			pdfStaysOurs(t, filepath.Join(above, filepath.FromSlash(name)))
		case ".json", ".geojson":
			if !json.Valid([]byte(data)) {
				t.Errorf("%s is no JSON", name)
			}
		}
	}
	for kind, least := range map[string]int{".html": 4, ".csv": 7, ".json": 6, ".geojson": 2, ".pdf": 4, ".jpg": 6} {
		if kinds[kind] < least {
			t.Errorf("%d files %s were written, want %d at least: %v", kinds[kind], kind, least, kinds)
		}
	}
	if got := sunlitShares(t, dir, hostileBefore); !slices.Equal(got, []string{"row 1 tree 1", "row 1 tree 2"}) {
		t.Errorf("trees with a sunlit share: %v; want that of the hostile name in photos.csv and that of the hostile end of a name", got)
	}
	soundDatabase(t, dir)
	if _, stdout, _ := inProcess(t, "assess", "--visit", hostileBefore, dir); !strings.Contains(stdout, "0 photos measured now") {
		t.Errorf("the database does not know the photos by their names again:\n%s", stdout)
	}
}

func photosBelow(t *testing.T, dir string) []string {
	t.Helper()
	entries, err := os.ReadDir(filepath.Join(dir, orchard.PhotosDir, hostileBefore))
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, e := range entries {
		out = append(out, filepath.Join(dir, orchard.PhotosDir, hostileBefore, e.Name()))
	}
	return out
}

// A block's key stands in file names, on cards and in links: an orchard file with
// another than letters and digits is refused by its line, and no file is written.
func TestHostileKeysAreRefused(t *testing.T) {
	for _, key := range []string{`../../x`, `<b>`, `=1`, `a b`, `b1\u0000`, `\u202eb`, `b1;DROP`, `-1`, `@x`, strings.Repeat("k", 300)} {
		dir := t.TempDir()
		text := "name = \"x\"\n[place]\nlatitude_deg = -28\nlongitude_deg = 152.5\ntime_zone = \"Etc/GMT-10\"\n[[blocks]]\nkey = \"" + key +
			"\"\nrows = 1\ntrees_per_row = 1\nrow_spacing_m = 8\ntree_spacing_m = 5\nrow_direction_deg = 0\n"
		if err := os.WriteFile(filepath.Join(dir, orchard.FileName), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		for _, args := range [][]string{{"boards", dir}, {"assess", dir}, {"history", dir}} {
			code, stdout, stderr := inProcess(t, args...)
			if code != exitCannotRun || !strings.Contains(stderr, orchard.FileName+":7: ") {
				t.Errorf("key %q, %s: exit status %d, %s", key, args[0], code, stderr)
			}
			onTerminal(t, args[0], stdout+stderr)
		}
		if left := files(t, dir); len(left) != 1 {
			t.Errorf("key %q: files %v", key, left)
		}
	}
}
