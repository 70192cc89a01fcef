package crew

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
)

// Message is a question or an answer: words, and pieces of bytes (a photo's file, a
// drawn picture) that would be slow to pack into them.
type Message struct {
	Words  json.RawMessage
	Pieces [][]byte
}

// head is the line before a message's pieces.
type head struct {
	Words json.RawMessage `json:"words"`
	Bytes []int           `json:"bytes,omitempty"` // of each piece
}

// mostBytes of one piece are read: a process gone astray may declare anything. No
// photo's file over 200 MB is taken up.
const mostBytes = 1 << 29

func write(w io.Writer, m Message) error {
	h := head{Words: m.Words}
	for _, p := range m.Pieces {
		h.Bytes = append(h.Bytes, len(p))
	}
	line, err := json.Marshal(h)
	if err != nil {
		return fmt.Errorf("crew: pack message: %w", err)
	}
	if _, err := w.Write(append(line, '\n')); err != nil {
		return err
	}
	for _, p := range m.Pieces {
		if _, err := w.Write(p); err != nil {
			return err
		}
	}
	return nil
}

// room is memory for a piece of n bytes.
type room func(n int) []byte

func fresh(n int) []byte { return make([]byte, n) }

// read returns io.EOF where the stream ends between two messages.
func read(r *bufio.Reader, in room) (Message, error) {
	line, err := r.ReadBytes('\n')
	if err == io.EOF && len(line) > 0 {
		err = io.ErrUnexpectedEOF
	}
	if err != nil {
		return Message{}, err
	}
	var h head
	if err := json.Unmarshal(line, &h); err != nil {
		return Message{}, fmt.Errorf("crew: read message: %w", err)
	}
	m := Message{Words: h.Words}
	for _, n := range h.Bytes {
		if n < 0 || n > mostBytes {
			return Message{}, fmt.Errorf("crew: read message: a piece of %d bytes", n)
		}
		piece := in(n)
		if _, err := io.ReadFull(r, piece); err != nil {
			return Message{}, fmt.Errorf("crew: read message: %w", err)
		}
		m.Pieces = append(m.Pieces, piece)
	}
	return m, nil
}
