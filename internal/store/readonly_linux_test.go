package store

import (
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
)

// asNobody gives up root's right to write anywhere, for this goroutine's thread,
// which then ends with the test: uid 65534 is nobody on Linux.
// dir is a folder that may not be written to.
func asNobody(t *testing.T, dir string) {
	t.Helper()
	if os.Getuid() != 0 {
		return
	}
	runtime.LockOSThread() // never unlocked: the thread is thrown away
	if err := syscall.Setfsuid(65534); err != nil {
		t.Skip("SKIPPED: root's rights cannot be given up: ", err)
	}
	if f, err := os.Create(filepath.Join(dir, "trial")); err == nil {
		_ = f.Close()
		_ = os.Remove(f.Name())
		t.Skip("SKIPPED: root's rights were not given up")
	}
}

func TestReadOnlyFolder(t *testing.T) {
	for name, begin := range map[string]func(t *testing.T, path string){
		"new": func(*testing.T, string) {},
		"begun": func(t *testing.T, path string) {
			if err := mustOpen(t, path).Close(); err != nil {
				t.Fatal(err)
			}
		},
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			path := filepath.Join(dir, FileName)
			begin(t, path)
			for d := dir; d != os.TempDir() && d != "/"; d = filepath.Dir(d) {
				if err := os.Chmod(d, 0o555); err != nil {
					t.Fatal(err)
				}
				t.Cleanup(func() { _ = os.Chmod(d, 0o755) })
			}
			done := make(chan struct{})
			go func() {
				defer close(done)
				asNobody(t, dir)
				s, err := Open(t.Context(), path)
				if err == nil {
					_ = s.Close()
				}
				if err == nil || !strings.Contains(err.Error(), "cannot be written to") || !strings.Contains(err.Error(), path) {
					t.Errorf("error %v, want one that names the file and says it cannot be written to", err)
				}
			}()
			<-done
		})
	}
}
