package pipeline

import (
	"strings"
	"testing"

	"rowlight/internal/orchard"
)

func TestGuardMakesAPanicAnError(t *testing.T) {
	fault := func(list []int) (n int, err error) {
		defer guard(&err)
		return list[3], nil
	}
	if _, err := fault(nil); err == nil || !strings.Contains(err.Error(), "index out of range") {
		t.Errorf("error %v", err)
	}
	if n, err := fault([]int{1, 2, 3, 4}); n != 4 || err != nil {
		t.Errorf("%d, %v where nothing was wrong", n, err)
	}
}

// A first look at what is no photo finds nothing and says nothing: measuring does.
func TestLookIntoNoPhoto(t *testing.T) {
	rec := orchard.Record{Path: "photos/v/a.jpg"}
	lookInto(&rec, []byte("no photo"))
	if rec.TakenAt != nil || rec.CardTree != nil || rec.Reason != "" || len(rec.Boards) > 0 {
		t.Errorf("%+v", rec)
	}
}
