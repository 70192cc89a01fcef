package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"slices"
	"strings"
	"syscall"
	"time"
)

// spent is what one run over some photos took.
type spent struct {
	Photos, Workers int
	Wall            time.Duration
	CPU             time.Duration // user and system, children too
	PeakMiB         float64       // of all its processes together; 0 not measured
}

// PerSecond is photos a second of wall-clock time.
func (s spent) PerSecond() float64 { return float64(s.Photos) / s.Wall.Seconds() }

// Each is wall-clock seconds a photo.
func (s spent) Each() float64 { return s.Wall.Seconds() / float64(s.Photos) }

// EachCPU is processor seconds a photo.
func (s spent) EachCPU() float64 { return s.CPU.Seconds() / float64(s.Photos) }

// memoryEvery is how often the memory of the processes is read: one worker's photo takes
// longer, and reading costs a thousandth of it.
const memoryEvery = 50 * time.Millisecond

// kibibytes of ru_maxrss on Linux (getrusage(2)).
const kibibytesPerMiB = 1024

// command runs a program and measures it from outside: wall clock from before its start
// until it has ended, processor time and memory of it and all that it starts.
func command(ctx context.Context, okCodes []int, name string, args ...string) (spent, string, error) {
	var out, said bytes.Buffer
	cmd := exec.CommandContext(ctx, name, args...)
	cmd.Stdout, cmd.Stderr = &out, &said
	begun := time.Now()
	if err := cmd.Start(); err != nil {
		return spent{}, "", fmt.Errorf("start %s: %w", name, err)
	}
	done, peak := make(chan struct{}), make(chan float64)
	go func() { peak <- watch(cmd.Process.Pid, done) }()
	err := cmd.Wait()
	s := spent{Wall: time.Since(begun)}
	close(done)
	s.PeakMiB = <-peak
	if ctx.Err() != nil {
		return s, "", ctx.Err()
	}
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		return s, "", fmt.Errorf("run %s: %w", name, err)
	}
	if code := cmd.ProcessState.ExitCode(); !slices.Contains(okCodes, code) {
		return s, "", fmt.Errorf("%s ended with status %d: %s", name, code, lastLines(said.String()))
	}
	s.CPU = cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()
	if u, ok := cmd.ProcessState.SysUsage().(*syscall.Rusage); ok {
		s.PeakMiB = max(s.PeakMiB, float64(u.Maxrss)/kibibytesPerMiB)
	}
	return s, out.String(), nil
}

// watch reads the memory of a process and its descendants until done; it returns the
// highest sum seen, MiB. Pages that two of them share count twice.
func watch(pid int, done <-chan struct{}) float64 {
	tick := time.NewTicker(memoryEvery)
	defer tick.Stop()
	peak := 0.0
	for {
		select {
		case <-done:
			return peak
		case <-tick.C:
			peak = max(peak, treeMiB(pid))
		}
	}
}

// lastLines are enough of what a program said to see what went wrong.
func lastLines(said string) string {
	const lines = 5
	all := strings.Split(strings.TrimSpace(said), "\n")
	return strings.Join(all[max(0, len(all)-lines):], "\n")
}

// readThrough brings files into the page cache, so that every run finds them there, and
// waits for what is still to be written: nobody measures the disk.
func readThrough(files []string) error {
	syscall.Sync()
	for _, name := range files {
		if _, err := os.ReadFile(name); err != nil {
			return err
		}
	}
	return nil
}
