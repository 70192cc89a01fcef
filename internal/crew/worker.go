package crew

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os/exec"
	"sync/atomic"
	"syscall"
	"time"
)

// worker is one process.
type worker struct {
	cmd  *exec.Cmd
	in   io.WriteCloser
	out  *bufio.Reader
	said saidHead
	// killed tells that watch has ended it, late that this was for want of time.
	killed, late atomic.Bool
}

// start begins a process and waits for its hello.
func start(ctx context.Context, command []string, hello string, limit time.Duration) (*worker, error) {
	w := &worker{cmd: exec.Command(command[0])}
	w.cmd.Args = command[1:]
	w.cmd.Stderr = &w.said
	in, err := w.cmd.StdinPipe()
	if err != nil {
		return nil, fmt.Errorf("crew: start worker: %w", err)
	}
	out, err := w.cmd.StdoutPipe()
	if err != nil {
		return nil, fmt.Errorf("crew: start worker: %w", err)
	}
	widen(in)
	widen(out)
	w.in, w.out = in, bufio.NewReader(out)
	if err := w.cmd.Start(); err != nil {
		return nil, fmt.Errorf("crew: start worker: %w", err)
	}
	if err := w.greet(ctx, hello, limit); err != nil {
		return nil, fmt.Errorf("crew: start worker: %w", err)
	}
	return w, nil
}

// greet reads the hello; a worker that says another is of another program.
func (w *worker) greet(ctx context.Context, hello string, limit time.Duration) error {
	stop := w.watch(ctx, limit)
	defer stop()
	m, err := read(w.out, fresh)
	if err != nil {
		return fmt.Errorf("it ended at once (%s)", w.end(err).Cause)
	}
	var said string
	if err := json.Unmarshal(m.Words, &said); err != nil || said != hello {
		return errors.Join(fmt.Errorf("it is %q, not %q: was the program replaced while it ran? run it again", said, hello), w.close())
	}
	return nil
}

// ask sends a message and waits for the answer. The worker is of no use after an error.
func (w *worker) ask(ctx context.Context, m Message, limit time.Duration) (Message, error) {
	stop := w.watch(ctx, limit)
	defer stop()
	if err := write(w.in, m); err != nil {
		return Message{}, err
	}
	return read(w.out, fresh)
}

// tick is how finely the time of a piece of work is counted.
const tick = time.Second

// watch kills the worker when ctx ends or the limit is over, until stop is called. Time
// is counted in ticks that were seen: a machine asleep, or a run stopped by Ctrl-Z,
// sees none.
func (w *worker) watch(ctx context.Context, limit time.Duration) (stop func()) {
	done, ended := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(ended)
		step := min(tick, limit)
		ticks := time.NewTicker(step)
		defer ticks.Stop()
		for left := limit; left > 0; {
			select {
			case <-done:
				return
			case <-ctx.Done():
				w.kill()
				return
			case <-ticks.C:
				left -= step
			}
		}
		w.late.Store(true)
		w.kill()
	}()
	return func() { close(done); <-ended }
}

func (w *worker) kill() {
	w.killed.Store(true)
	_ = w.cmd.Process.Kill() // it may have ended by itself
}

// fallTime is how long a process that has closed its output may take to write why.
const fallTime = 10 * time.Second

// end makes sure that a process is gone with which talking ended in err, and says what
// became of it.
func (w *worker) end(err error) *Lost {
	_ = w.in.Close()
	falling := errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, syscall.EPIPE)
	if !falling {
		w.kill()
	}
	late := time.AfterFunc(fallTime, w.kill)
	defer late.Stop()
	_ = w.cmd.Wait() // its state is looked at
	switch {
	case w.late.Load():
		return &Lost{TimedOut, "time limit"}
	case !falling:
		return &Lost{Crashed, "its answer could not be read"}
	}
	return lostBy(w.said.String(), w.cmd.ProcessState.String())
}

// close lets an idle worker end and waits for it.
func (w *worker) close() error {
	return errors.Join(w.in.Close(), w.cmd.Wait())
}
