package pipeline

import (
	"io"

	"rowlight/internal/crew"
)

// ServeWorkerAfter is ServeWorker with something done to each photo's bytes first.
func ServeWorkerAfter(before func(photo []byte), in io.Reader, out io.Writer, version string) error {
	return crew.Serve(in, out, version, func(m crew.Message) crew.Message {
		for _, photo := range m.Pieces {
			before(photo)
		}
		return new(hand).answer(m)
	})
}
