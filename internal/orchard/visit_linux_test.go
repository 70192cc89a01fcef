package orchard

import (
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
)

// asNobody runs fn without root's right to read everything: uid 65534 is nobody on
// Linux, and the thread that took it is thrown away.
func asNobody(t *testing.T, fn func()) {
	t.Helper()
	done := make(chan error)
	go func() {
		runtime.LockOSThread() // never unlocked
		var err error
		if os.Getuid() == 0 {
			err = syscall.Setfsuid(65534)
		}
		if err == nil {
			fn()
		}
		done <- err
	}()
	if err := <-done; err != nil {
		t.Skip("SKIPPED: root's rights cannot be given up: ", err)
	}
}

func TestUnreadableFolderDoesNotStopTheRest(t *testing.T) {
	dir := lay(t, "photos/v1/a.jpg", "photos/v1/shut/b.jpg", "photos/v2/c.jpg")
	for _, shut := range []string{"v1/shut", "v2"} {
		p := filepath.Join(dir, PhotosDir, shut)
		if err := os.Chmod(p, 0); err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { _ = os.Chmod(p, 0o755) })
	}
	for d := dir; d != os.TempDir() && d != "/"; d = filepath.Dir(d) {
		if err := os.Chmod(d, 0o755); err != nil { // the test's folders are root's own
			t.Fatal(err)
		}
	}
	asNobody(t, func() {
		s, err := ScanVisit(dir, "v1")
		if err != nil || len(s.Photos) != 1 || len(s.Problems) != 1 || s.Problems[0].File != "photos/v1/shut" {
			t.Errorf("scan %+v: %v", s, err)
		}
		if _, err := ScanVisit(dir, "v2"); err == nil || !strings.Contains(err.Error(), "photos/v2: cannot be read (permission denied)") {
			t.Errorf("an unreadable visit: %v", err)
		}
	})
}

// A name that is no UTF-8 could not stand in a record: the photo is told, the rest of
// the visit is looked at.
func TestNameThatNoRecordCanHoldIsTold(t *testing.T) {
	dir := lay(t, "photos/v1/a.jpg", "photos/v1/\x9b31m.jpg", "photos/v1/\xff/b.jpg")
	s, err := ScanVisit(dir, "v1")
	if err != nil || len(s.Photos) != 1 || len(s.Problems) != 2 {
		t.Fatalf("scan %+v: %v", s, err)
	}
	for _, p := range s.Problems {
		if !strings.Contains(p.Error(), "UTF-8") || p.Mend == "" {
			t.Errorf("problem %v", p)
		}
	}
}
