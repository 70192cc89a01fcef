package crew

import (
	"os"
	"testing"
)

// What a piece of work costs beside itself: a photo's bytes there, a drawn copy back.
func BenchmarkDo(b *testing.B) {
	b.Setenv(workerEnv, "worker")
	c := New([]string{os.Args[0], os.Args[0]}, hello, ample)
	b.Cleanup(func() { _ = c.Close() })
	m := say("echo")
	m.Pieces = [][]byte{make([]byte, 4<<20)} // the answer is as long, a drawn copy a tenth
	for b.Loop() {
		if _, err := c.Do(b.Context(), m); err != nil {
			b.Fatal(err)
		}
	}
}
