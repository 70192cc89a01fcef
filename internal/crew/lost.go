package crew

import (
	"bytes"
	"fmt"
	"regexp"
	"strings"
	"sync"
)

// How is the way a piece of work came to no answer.
type How int

// The ways.
const (
	Crashed  How = iota // the process fell
	TimedOut            // it took longer than the limit, and was ended
	NoMemory            // it could get no more memory, or was killed from outside, which is mostly the same
)

// Lost is work that came to no answer, though it was begun. Cause is the same for the
// same fault: a signal's name, say, no addresses.
type Lost struct {
	How   How
	Cause string
}

func (l *Lost) Error() string { return fmt.Sprintf("crew: work was lost: %s", l.Cause) }

// lostBy sorts how a process ended by what it said last and its exit state in words
// ("signal: killed").
func lostBy(said, state string) *Lost {
	if memory := regexp.MustCompile(`out of memory|cannot allocate memory|bad_alloc|Insufficient memory`).FindString(said); memory != "" {
		return &Lost{NoMemory, memory}
	}
	if strings.Contains(state, "signal: killed") {
		return &Lost{NoMemory, "killed from outside"}
	}
	if what := regexp.MustCompile(`(?m)^\s*what\(\):\s*(.+)$`).FindStringSubmatch(said); what != nil {
		return &Lost{Crashed, strings.TrimSpace(what[1])} // of a C++ exception
	}
	if signal := regexp.MustCompile(`\bSIG[A-Z]{3,}\b`).FindString(said); signal != "" {
		return &Lost{Crashed, signal}
	}
	return &Lost{Crashed, state}
}

// headBytes of what a worker says on its standard error are kept: the Go runtime's
// first lines name the signal, hundreds of lines about goroutines follow.
const headBytes = 4096

// saidHead keeps the beginning of what is written to it.
type saidHead struct {
	mu   sync.Mutex
	kept bytes.Buffer
}

func (s *saidHead) Write(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.kept.Write(p[:min(len(p), headBytes-s.kept.Len())])
	return len(p), nil
}

func (s *saidHead) String() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.kept.String()
}
