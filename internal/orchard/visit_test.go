package orchard

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// lay makes files (or folders, where the name ends in /) in an orchard folder.
func lay(t *testing.T, names ...string) string {
	t.Helper()
	dir := t.TempDir()
	for _, n := range names {
		p := filepath.Join(dir, filepath.FromSlash(n))
		folder := p
		if !strings.HasSuffix(n, "/") {
			folder = filepath.Dir(p)
		}
		if err := os.MkdirAll(folder, 0o755); err != nil {
			t.Fatal(err)
		}
		if folder != p {
			if err := os.WriteFile(p, []byte("x"), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
	return dir
}

func link(t *testing.T, target, at string) {
	t.Helper()
	if err := os.Symlink(target, at); err != nil {
		t.Skip("SKIPPED: no links here: ", err)
	}
}

func TestVisits(t *testing.T) {
	dir := lay(t, "photos/2026-03-14/", "photos/2025-11-02/", "photos/.hidden/", "photos/loose.jpg", "photos/notes.txt")
	link(t, filepath.Join(dir, "nowhere"), filepath.Join(dir, "photos", "lost"))
	visits, problems, err := Visits(dir)
	if err != nil || !slices.Equal(visits, []string{"2025-11-02", "2026-03-14"}) {
		t.Errorf("visits %v: %v", visits, err)
	}
	if said := problems.Error(); len(problems) != 2 || !strings.Contains(said, "photos/loose.jpg: lies outside any visit") || !strings.Contains(said, "photos/lost: cannot be read") {
		t.Errorf("problems %v", problems)
	}
	if v, err := NewestVisit(dir); v != "2026-03-14" || err != nil {
		t.Errorf("newest %q: %v", v, err)
	}
	if _, err := NewestVisit(t.TempDir()); err == nil || !strings.Contains(err.Error(), "photos/2026-03-14/") {
		t.Errorf("no visits: %v, want where to put photos", err)
	}
}

func TestScanVisit(t *testing.T) {
	const v = "photos/v1/"
	dir := lay(t, v+"b.JPG", v+"a.heic", v+"c.dng", v+"notes.txt", v+"._b.JPG", v+".DS_Store", v+"cam2/d.png", v+"cam2/deep/e.jpg", v+".trash/f.jpg", v+"dir.jpg/", "elsewhere/g.jpg")
	link(t, filepath.Join(dir, "elsewhere", "g.jpg"), filepath.Join(dir, v, "linked.jpg"))
	link(t, filepath.Join(dir, "elsewhere"), filepath.Join(dir, v, "linked"))
	link(t, "itself.jpg", filepath.Join(dir, v, "itself.jpg"))
	s, err := ScanVisit(dir, "v1")
	if err != nil {
		t.Fatal(err)
	}
	if want := []string{v + "a.heic", v + "b.JPG", v + "c.dng", v + "cam2/d.png", v + "linked.jpg"}; !slices.Equal(s.Photos, want) {
		t.Errorf("photos %v, want %v", s.Photos, want)
	}
	if s.Ignored != 4 { // notes.txt, ._b.JPG, .DS_Store, .trash
		t.Errorf("%d others ignored, want 4", s.Ignored)
	}
	said := s.Problems.Error()
	for _, want := range []string{v + "cam2/deep: lies too deep", v + "linked: is a link to a folder", v + "itself.jpg: cannot be read"} {
		if !strings.Contains(said, want) {
			t.Errorf("it is not said: %s\n%s", want, said)
		}
	}
	if len(s.Problems) != 3 {
		t.Errorf("%d problems, want 3:\n%s", len(s.Problems), said)
	}
	if _, err := ScanVisit(dir, "v2"); err == nil || !strings.Contains(err.Error(), "photos/v2: there is no such folder: the visits are v1") {
		t.Errorf("a visit that is not there: %v", err)
	}
	if _, err := ScanVisit(dir, "../elsewhere"); err == nil {
		t.Error("a visit outside the orchard was scanned")
	}
}

func TestCheckVisit(t *testing.T) {
	for _, good := range []string{"2026-03-14", "spring walk 2", "März"} {
		if err := CheckVisit(good); err != nil {
			t.Errorf("%q: %v", good, err)
		}
	}
	for _, bad := range []string{"", ".", "..", ".x", "a/b", `a\b`, "a\x00b", "a\nb", " a", "\xff", strings.Repeat("x", 101), "C:"} {
		if err := CheckVisit(bad); err == nil {
			t.Errorf("%q was taken", bad)
		}
	}
}
