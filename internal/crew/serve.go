package crew

import (
	"bufio"
	"encoding/json"
	"io"
)

// Serve is a worker's life: it says hello, then answers every message of in on out. It
// returns when in ends, even in the middle of a piece of work, for then nobody waits
// for the answer any more; the process should end with it. A message's pieces are good
// until it is answered.
func Serve(in io.Reader, out io.Writer, hello string, work func(Message) Message) error {
	words, err := json.Marshal(hello)
	if err != nil {
		return err
	}
	if err := write(out, Message{Words: words}); err != nil {
		return err
	}
	asked, failed, spare := make(chan Message), make(chan error, 2), make(Spares, mostPieces)
	go func() { // reads on while work is done: the end of in is how a dead parent is noticed
		defer close(asked)
		failed <- listen(bufio.NewReader(in), spare.Room, asked)
	}()
	go func() {
		for m := range asked {
			if err := write(out, work(m)); err != nil {
				failed <- err
				return
			}
			spare.Keep(m.Pieces...)
		}
	}()
	return <-failed
}

// listen hands messages on until the stream ends.
func listen(r *bufio.Reader, in room, asked chan<- Message) error {
	for {
		m, err := read(r, in)
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return err
		}
		asked <- m
	}
}

// mostPieces of a message are kept for the next one's: a pair's two photos.
const mostPieces = 2
