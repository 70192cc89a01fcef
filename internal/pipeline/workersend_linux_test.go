package pipeline_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"rowlight/internal/orchard"
	"rowlight/internal/pipeline"
)

// children are the processes that this one has, as the kernel lists them.
func children(t *testing.T) []string {
	t.Helper()
	lists, err := filepath.Glob("/proc/self/task/*/children")
	if err != nil || len(lists) == 0 {
		t.Skip("this kernel does not list a process's children")
	}
	var out []string
	for _, list := range lists {
		data, err := os.ReadFile(list)
		if err != nil {
			continue // a thread that has ended since
		}
		out = append(out, strings.Fields(string(data))...)
	}
	return out
}

// Workers hold hundreds of MB and have nothing to do once all is measured: they are gone
// before thousands of trees are reported.
func TestWorkersEndBeforeTheReport(t *testing.T) {
	dir := newOrchard(t, map[string][]byte{"b1-r01-t01-floor.jpg": truthPhoto(t, "practice_c_floor_10")})
	o, err := orchard.Load(dir)
	if err != nil {
		t.Fatal(err)
	}
	var during, after []string
	opt := pipeline.RunOptions{
		Dir: dir, Orchard: o, Visit: visit, Version: "test", Worker: workers(t), Workers: 1,
		Write: func(*pipeline.Result) error {
			after = children(t)
			return nil
		},
	}
	if _, err := pipeline.Run(t.Context(), opt, func(pipeline.Event) { during = children(t) }); err != nil {
		t.Fatal(err)
	}
	if len(during) == 0 {
		t.Fatal("no worker was there while the photo was measured")
	}
	if len(after) > 0 {
		t.Errorf("processes %v live on while the report is written", after)
	}
}
