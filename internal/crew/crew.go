package crew

import (
	"context"
	"errors"
	"sync"
	"time"
)

// Crew starts workers as they are wanted and again where they fell. Its methods may be
// called from several goroutines; as many workers run as are asked at once.
type Crew struct {
	command []string
	hello   string
	limit   time.Duration

	mu   sync.Mutex
	idle []*worker
}

// New makes a crew without starting anyone. command is the program's path and then all
// its arguments, its own name first; hello is what its Serve says; limit is how long one
// piece of work may take.
func New(command []string, hello string, limit time.Duration) *Crew {
	return &Crew{command: command, hello: hello, limit: limit}
}

// tries of a piece of work whose process fell: the second in a fresh process, for the
// fault may have been laid by the work before it.
const tries = 2

// Do has one piece of work done. The error is a *Lost where the work itself brought its
// process down, twice, or took too long, once; ctx's where that ended; another where no
// worker can be started.
func (c *Crew) Do(ctx context.Context, m Message) (Message, error) {
	for try := 1; ; try++ {
		w, err := c.take(ctx, try > 1)
		if err != nil {
			return Message{}, err
		}
		answer, err := w.ask(ctx, m, c.limit)
		if err == nil {
			c.giveBack(w)
			return answer, nil
		}
		lost := w.end(err)
		if ctx.Err() != nil {
			return Message{}, ctx.Err()
		}
		if try == tries || lost.How == TimedOut {
			return Message{}, lost
		}
	}
}

// interruptGrace: Ctrl-C reaches every process of a terminal at once, a worker that has
// not yet learned to pass it over perhaps before us.
const interruptGrace = 200 * time.Millisecond

// take returns a worker that waits, or a new one.
func (c *Crew) take(ctx context.Context, fresh bool) (*worker, error) {
	if !fresh {
		if w := c.waiting(); w != nil {
			return w, nil
		}
	}
	w, err := start(ctx, c.command, c.hello, c.limit)
	if err == nil {
		return w, nil
	}
	select {
	case <-ctx.Done():
		return nil, ctx.Err()
	case <-time.After(interruptGrace):
		return nil, err
	}
}

func (c *Crew) waiting() *worker {
	c.mu.Lock()
	defer c.mu.Unlock()
	if len(c.idle) == 0 {
		return nil
	}
	w := c.idle[len(c.idle)-1]
	c.idle = c.idle[:len(c.idle)-1]
	return w
}

func (c *Crew) giveBack(w *worker) {
	if w.killed.Load() { // as its answer was under way
		_ = w.close() // how it ended is known
		return
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	c.idle = append(c.idle, w)
}

// Close ends the workers that wait for work. Work after it starts new ones.
func (c *Crew) Close() error {
	c.mu.Lock()
	defer c.mu.Unlock()
	var err error
	for _, w := range c.idle {
		err = errors.Join(err, w.close())
	}
	c.idle = nil
	return err
}
