package crew

import "testing"

// A piece that is done with serves the next that fits into it; larger ones than mostKept
// and more than there is room for are let go, and nil keeps nothing.
func TestSparesServeTheNext(t *testing.T) {
	same := func(a, b []byte) bool { return &a[:1][0] == &b[:1][0] }
	s := make(Spares, 1)
	first := s.Room(1000)
	s.Keep(first, make([]byte, 2000))
	if got := s.Room(900); len(got) != 900 || !same(got, first) {
		t.Errorf("%d bytes, not of the piece that was kept", len(got))
	}
	s.Keep(first)
	if got := s.Room(5000); len(got) != 5000 || same(got, first) {
		t.Errorf("%d bytes of a piece of 1,250", len(got))
	}
	s.Keep(make([]byte, mostKept+1))
	if len(s) != 0 {
		t.Error("a large piece was kept")
	}
	if got := s.Room(mostKept + 1); cap(got) > mostKept+1<<16 {
		t.Errorf("%d bytes over for a piece that is not kept", cap(got)-len(got))
	}
	var none Spares
	none.Keep(first)
	if got := none.Room(10); len(got) != 10 || same(got, first) {
		t.Error("nil kept a piece")
	}
}
