package store

import (
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"sync"
	"testing"
	"time"

	"rowlight/internal/orchard"
)

func mustOpen(t *testing.T, path string) *Store {
	t.Helper()
	s, err := Open(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = s.Close() }) // some tests close it before
	return s
}

func record(n int) *orchard.Record {
	v, low, high := 3.2, 3.0, 3.4
	at := time.Date(2026, 3, 14, 10, 20, n%60, 0, time.FixedZone("", 2*3600))
	return &orchard.Record{
		Path: fmt.Sprintf("photos/2026-03-14/IMG_%04d.jpg", n), SHA256: fmt.Sprintf("%064x", n), Visit: "2026-03-14",
		Tree: &orchard.TreeID{Block: "b1", Row: 3, Tree: n + 1}, Kind: orchard.Side, PlacedBy: orchard.ByCard, TakenAt: &at,
		Status: orchard.Measured, Boards: []int{1, 2}, Settings: "s1", Version: "v1",
		Measurements: []orchard.Measurement{{Quantity: orchard.HeightM, Unit: "m", Value: &v, Low95: &low, High95: &high, Flags: []string{"top cut off"}}},
	}
}

func mustPut(t *testing.T, s *Store, rec *orchard.Record) {
	t.Helper()
	if err := s.Put(t.Context(), rec); err != nil {
		t.Fatal(err)
	}
}

func get(t *testing.T, s *Store, r *orchard.Record) (*orchard.Record, bool) {
	t.Helper()
	rec, ok, err := s.Get(t.Context(), r.Path, r.SHA256, r.Settings, r.Version)
	if err != nil {
		t.Fatal(err)
	}
	return rec, ok
}

func TestPutThenGetGivesTheSameRecord(t *testing.T) {
	path := filepath.Join(t.TempDir(), FileName)
	s := mustOpen(t, path)
	want := record(7)
	if _, ok := get(t, s, want); ok {
		t.Fatal("a new store has a record")
	}
	mustPut(t, s, want)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	s = mustOpen(t, path)
	if s.Note != "" {
		t.Errorf("a sound file gives the note %q", s.Note)
	}
	got, ok := get(t, s, want)
	if !ok {
		t.Fatal("record is gone after reopening")
	}
	if !got.TakenAt.Equal(*want.TakenAt) || got.TakenAt.Format(time.RFC3339) != want.TakenAt.Format(time.RFC3339) {
		t.Errorf("taken at %v, want %v with its offset", got.TakenAt, want.TakenAt)
	}
	got.TakenAt = want.TakenAt // the same instant and offset, another *Location
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got %+v\nwant %+v", got, want)
	}
}

func TestAnyChangeOfTheKeyMisses(t *testing.T) {
	s := mustOpen(t, filepath.Join(t.TempDir(), FileName))
	mustPut(t, s, record(1))
	for name, change := range map[string]func(*orchard.Record){
		"path":     func(r *orchard.Record) { r.Path += "x" },
		"content":  func(r *orchard.Record) { r.SHA256 = strings.Repeat("f", 64) },
		"settings": func(r *orchard.Record) { r.Settings = "s2" },
		"version":  func(r *orchard.Record) { r.Version = "v2" },
	} {
		r := record(1)
		change(r)
		if _, ok := get(t, s, r); ok {
			t.Errorf("a changed %s still finds the record", name)
		}
	}
	if _, ok := get(t, s, record(1)); !ok {
		t.Error("the unchanged key misses")
	}
}

func TestPutReplaces(t *testing.T) {
	s := mustOpen(t, filepath.Join(t.TempDir(), FileName))
	r := record(1)
	mustPut(t, s, r)
	r.Status, r.Reason = orchard.Refused, "sun 24 deg above the horizon, 30 needed"
	mustPut(t, s, r)
	if got, _ := get(t, s, r); got.Status != orchard.Refused || got.Reason != r.Reason {
		t.Errorf("got status %q reason %q after the second Put", got.Status, got.Reason)
	}
}

func TestPutRefusesWhatCannotBeKept(t *testing.T) {
	s := mustOpen(t, filepath.Join(t.TempDir(), FileName))
	if err := s.Put(t.Context(), &orchard.Record{Path: "a.jpg"}); err == nil {
		t.Error("a record without a content hash was kept")
	}
	r, nan := record(1), math.NaN()
	r.Measurements[0].Value = &nan
	if err := s.Put(t.Context(), r); err == nil || !strings.Contains(err.Error(), r.Path) {
		t.Errorf("a NaN: error %v, want one that names the photo", err)
	}
}

func TestPathsWithSignsOfURLs(t *testing.T) {
	dir := filepath.Join(t.TempDir(), `50% of "row" #3? ü & more`)
	if err := os.Mkdir(dir, 0o755); err != nil {
		t.Skip("SKIPPED: this file system takes no such name: ", err)
	}
	path := filepath.Join(dir, FileName)
	mustPut(t, mustOpen(t, path), record(1))
	if !fileExists(path) {
		t.Error("the database is not where it was asked for")
	}
}

func TestConcurrentPuts(t *testing.T) {
	s := mustOpen(t, filepath.Join(t.TempDir(), FileName))
	const workers, each = 8, 5
	var wg sync.WaitGroup
	for w := range workers {
		wg.Go(func() {
			for i := range each {
				if err := s.Put(t.Context(), record(w*each+i)); err != nil {
					t.Error(err)
				}
				if _, ok, err := s.Get(t.Context(), record(w).Path, "", "", ""); ok || err != nil {
					t.Error("get of an unknown key: ", ok, err)
				}
			}
		})
	}
	wg.Wait()
	for n := range workers * each {
		if _, ok := get(t, s, record(n)); !ok {
			t.Errorf("record %d is missing", n)
		}
	}
}

func TestTwoStoresOnOneFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), FileName)
	a, b := mustOpen(t, path), mustOpen(t, path)
	var wg sync.WaitGroup
	for i, s := range []*Store{a, b} {
		wg.Go(func() {
			for n := range 10 {
				if err := s.Put(t.Context(), record(100*i+n)); err != nil {
					t.Error(err)
				}
			}
		})
	}
	wg.Wait()
	if _, ok := get(t, a, record(109)); !ok {
		t.Error("one store does not see what the other wrote")
	}
}

func TestCancelledContext(t *testing.T) {
	s := mustOpen(t, filepath.Join(t.TempDir(), FileName))
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if err := s.Put(ctx, record(1)); !errors.Is(err, context.Canceled) {
		t.Errorf("put: %v, want context.Canceled", err)
	}
	if _, ok := get(t, s, record(1)); ok {
		t.Error("a cancelled put wrote")
	}
}

// TestDiskFull lets SQLite itself run out of pages, which goes the same way as a
// disk out of room: SQLITE_FULL (sqlite.org/rescode.html#full).
func TestDiskFull(t *testing.T) {
	s := mustOpen(t, filepath.Join(t.TempDir(), FileName))
	mustPut(t, s, record(1))
	if _, err := s.db.ExecContext(t.Context(), "PRAGMA max_page_count = 1"); err != nil { // it keeps the pages in use
		t.Fatal(err)
	}
	big := record(2)
	big.Reason = strings.Repeat("x", 1<<16)
	err := s.Put(t.Context(), big)
	if err == nil || !strings.Contains(err.Error(), "disk is full") || !strings.Contains(err.Error(), s.path) {
		t.Errorf("error %v, want one that names the file and says the disk is full", err)
	}
	if _, ok := get(t, s, record(1)); !ok {
		t.Error("what was kept before is gone")
	}
}

// A record that no run keeps (a file changed by hand, or by a fault) counts as none: its
// photo is measured again.
func TestRecordThatNoRunKeepsIsNone(t *testing.T) {
	s := mustOpen(t, filepath.Join(t.TempDir(), FileName))
	for name, body := range map[string]string{
		"a value without interval": `{"path":"a.jpg","measurements":[{"quantity":"height_m","value":3}]}`,
		"a path that leads out":    `{"path":"a.jpg","overlay":"../../a.jpg"}`,
		"no JSON":                  `{"path":`,
	} {
		r := record(1)
		mustPut(t, s, r)
		if _, err := s.db.ExecContext(t.Context(), `UPDATE record SET body = ?`, body); err != nil {
			t.Fatal(err)
		}
		if got, ok := get(t, s, r); ok {
			t.Errorf("%s: got %+v", name, got)
		}
	}
}
