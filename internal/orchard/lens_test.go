package orchard

import (
	"os"
	"path/filepath"
	"testing"
)

func aLens() Lens {
	return Lens{LensKey: LensKey{Camera: "Invented Camera", Focal35MM: 26, WidthPx: 4000, HeightPx: 3000},
		FxPx: 2900, FyPx: 2901, CxPx: 2001, CyPx: 1498, K1: 0.05, Photos: 12}
}

func TestKeptLensIsReadBackAndReplaced(t *testing.T) {
	dir := t.TempDir()
	if got, err := LoadLenses(dir); err != nil || got != nil {
		t.Fatalf("an empty folder gives %v, %v", got, err)
	}
	a, b := aLens(), aLens()
	b.Focal35MM = 52
	for _, l := range []Lens{a, b} {
		if err := KeepLens(dir, l); err != nil {
			t.Fatal(err)
		}
	}
	a.K1 = 0.06
	if err := KeepLens(dir, a); err != nil {
		t.Fatal(err)
	}
	got, err := LoadLenses(dir)
	if err != nil || len(got) != 2 {
		t.Fatalf("%d lenses, %v; want 2", len(got), err)
	}
	if got[0] != b || got[1] != a {
		t.Errorf("read back %+v", got)
	}
	left, err := os.ReadDir(dir)
	if err != nil || len(left) != 1 {
		t.Errorf("%d files in the folder, %v; want the lens file alone", len(left), err)
	}
}

func TestBadLensFileSaysWhatToDo(t *testing.T) {
	for _, text := range []string{"{", `{"lenses":[{"width_px":4000,"height_px":3000,"fx_px":-1}]}`, `{"lenses":[{"width_px":0}]}`} {
		dir := t.TempDir()
		if err := os.WriteFile(filepath.Join(dir, LensFile), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		if _, err := LoadLenses(dir); err == nil {
			t.Errorf("%s was taken for lenses", text)
		}
	}
}
