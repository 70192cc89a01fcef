package main

import (
	"context"
	"fmt"
	"os"
	"syscall"
	"time"

	"golang.org/x/sync/errgroup"

	"rowlight/vision"
)

// decodeOurs decodes each photo in full with the decoder that assess uses, the photos
// read from disk, in this process: no start-up is in it.
func decodeOurs(ctx context.Context, files []string, workers int) (spent, error) {
	if err := vision.SetThreads(1); err != nil { // as in assess
		return spent{}, err
	}
	cpu, begun := processorTime(), time.Now()
	g, ctx := errgroup.WithContext(ctx)
	g.SetLimit(workers)
	for _, name := range files {
		g.Go(func() error {
			if ctx.Err() != nil {
				return ctx.Err()
			}
			data, err := os.ReadFile(name)
			if err != nil {
				return err
			}
			if _, err := vision.Decode(data); err != nil {
				return fmt.Errorf("decode %s: %w", name, err)
			}
			return nil
		})
	}
	if err := g.Wait(); err != nil {
		return spent{}, err
	}
	return spent{Photos: len(files), Workers: workers, Wall: time.Since(begun), CPU: processorTime() - cpu}, nil
}

func processorTime() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// plainLine is the script's last line.
type plainLine struct {
	photos, good int
	wall, cpu    time.Duration
}

// parsePlain reads what the script says of itself.
func parsePlain(said string) (plainLine, error) {
	var p plainLine
	var wall, cpu float64
	if _, err := fmt.Sscanf(said, "photos %d good %d seconds %f cpu_seconds %f", &p.photos, &p.good, &wall, &cpu); err != nil {
		return p, fmt.Errorf("the plain script did not say how long it took, but %q: %w", lastLines(said), err)
	}
	p.wall, p.cpu = seconds(wall), seconds(cpu)
	return p, nil
}

func seconds(s float64) time.Duration { return time.Duration(s * float64(time.Second)) }
