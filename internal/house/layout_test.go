package house

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

const root = "../.."

// fileImports returns the imports of every non-test Go file, by package path
// within the module.
func fileImports(t *testing.T) map[string][]string {
	t.Helper()
	out := map[string][]string{}
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && path != root && strings.HasPrefix(d.Name(), ".") {
			return filepath.SkipDir
		}
		if d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return nil
		}
		f, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ImportsOnly)
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(root, filepath.Dir(path))
		if err != nil {
			return err
		}
		pkg := filepath.ToSlash(rel)
		for _, im := range f.Imports {
			name, err := strconv.Unquote(im.Path.Value)
			if err != nil {
				return err
			}
			out[pkg] = append(out[pkg], name)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(out) < 8 {
		t.Fatalf("only %d packages found below %s: the walk is broken", len(out), root)
	}
	return out
}

func under(pkg, dir string) bool { return pkg == dir || strings.HasPrefix(pkg, dir+"/") }

// allowed lists, for each part of the house, which other parts it may import.
// Arrows point one way: cmd -> internal/{pipeline,report,...} -> {vision,
// metrics} -> calibrate; internal/orchard imports none of them, and only what writes a file.
func allowed() map[string][]string {
	return map[string][]string{
		"calibrate":          {},
		"vision":             {"calibrate", "vision"},
		"metrics":            {"calibrate"},
		"internal/lock":      {},
		"internal/wholefile": {"internal/lock"},
		"internal/orchard":   {"internal/wholefile"},
		"internal/store":     {"internal/orchard", "internal/lock"},
		"internal/crew":      {},
		"internal/overlay":   {"calibrate", "vision"},
		"internal/document":  {},
		"internal/boards":    {"calibrate", "internal/document"},
		"internal/scene":     {},
		"internal/report":    {"internal/orchard", "internal/wholefile"},
		"internal/plan":      {"metrics", "internal/orchard", "internal/report"},
		"internal/worksheet": {"internal/orchard", "internal/plan", "internal/document"},
		"internal/pipeline":  {"calibrate", "vision", "metrics", "internal/orchard", "internal/overlay", "internal/store", "internal/crew"},
		"internal/history":   {"metrics", "internal/orchard", "internal/report", "internal/wholefile"},
		"internal/compare":   {"calibrate", "vision", "metrics", "internal/orchard", "internal/overlay", "internal/pipeline", "internal/report", "internal/wholefile"},
		"internal/accuracy":  {"calibrate", "vision", "metrics", "internal/orchard", "internal/pipeline", "internal/compare"},
		"internal/house":     {},
		"cmd/rowlight":       {"vision", "internal"},
		"cmd/accuracy":       {"vision", "internal"},
		"cmd/demoorchard":    {"internal/scene", "internal/orchard"},
		"cmd/wideset":        {"internal/scene"},
		"cmd/bench":          {"vision", "internal/orchard", "internal/report"},
		"testdata":           {},
	}
}

func TestImportsPointOneWay(t *testing.T) {
	for pkg, imports := range fileImports(t) {
		part, ok := partOf(pkg)
		if !ok {
			t.Errorf("package %s stands in no part of the house: see DEVELOPERS.md", pkg)
			continue
		}
		for _, im := range imports {
			own, in := strings.CutPrefix(im, "rowlight/")
			if !in || under(own, part) {
				continue
			}
			if !slices.ContainsFunc(allowed()[part], func(dir string) bool { return under(own, dir) }) {
				t.Errorf("%s imports %s: arrows point the other way", pkg, own)
			}
		}
	}
}

func partOf(pkg string) (string, bool) {
	for part := range allowed() {
		if under(pkg, part) {
			return part, true
		}
	}
	return "", false
}

func TestOnlyVisionImportsGocv(t *testing.T) {
	for pkg, imports := range fileImports(t) {
		if slices.Contains(imports, "gocv.io/x/gocv") && !under(pkg, "vision") {
			t.Errorf("%s imports gocv; only vision may", pkg)
		}
	}
}

func TestTopLevelHoldsOnlyWhatItMay(t *testing.T) {
	may := []string{"cmd", "vision", "metrics", "calibrate", "testdata", "internal", "go.mod", "go.sum", "README.md", "DEVELOPERS.md", "Makefile", "LICENSE"}
	// What a build or a demo leaves behind is ignored by git.
	made := []string{"bin", "demo", "wide", "bench"}
	entries, err := os.ReadDir(root)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), ".") && !slices.Contains(may, e.Name()) && !slices.Contains(made, e.Name()) {
			t.Errorf("%s does not belong at the top level", e.Name())
		}
	}
}

func TestNoFileIsOverlong(t *testing.T) {
	const limit = 500
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") {
			return err
		}
		data, err := os.ReadFile(path)
		if n := strings.Count(string(data), "\n"); n > limit {
			t.Errorf("%s has %d lines, over %d: split it by topic", path, n, limit)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}
