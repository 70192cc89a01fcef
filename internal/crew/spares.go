package crew

// Spares keeps the memory of pieces that are done with for the next, as many as it has
// room for: each piece's would be fetched from the system anew. Any number of goroutines may
// use it; nil keeps nothing.
type Spares chan []byte

// mostKept bytes of a piece are kept: a larger photo is rare, and its memory given back.
const mostKept = 16 << 20

// Keep takes pieces that nobody uses any more.
func (s Spares) Keep(pieces ...[]byte) {
	for _, p := range pieces {
		if cap(p) == 0 || cap(p) > mostKept {
			continue
		}
		select {
		case s <- p:
		default:
		}
	}
}

// Room is n bytes of anything: a spare piece, or new with something over, so that it serves
// the next.
func (s Spares) Room(n int) []byte {
	select {
	case p := <-s:
		if cap(p) >= n {
			return p[:n]
		}
	default:
	}
	return make([]byte, n, max(n, min(n+n/4, mostKept)))
}
