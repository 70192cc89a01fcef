package main

import (
	"os"
	"runtime"

	"github.com/urfave/cli/v2"

	"rowlight/internal/pipeline"
)

// workerName is the hidden command that a run starts its workers by.
const workerName = "worker"

// workerCommand measures photos for a run in another process, so that a photo that
// brings OpenCV down brings down this process only.
func workerCommand() *cli.Command {
	return &cli.Command{
		Name:   workerName,
		Usage:  "measure photos for rowlight assess, which starts this by itself",
		Hidden: true,
		Description: "Takes photos from its standard input and answers on its standard output. Not for people.\n\n" +
			"Example:\n   rowlight worker",
		Action: func(*cli.Context) error { return pipeline.ServeWorker(os.Stdin, os.Stdout, version) },
	}
}

// workerOf is how this very program is started again as a worker; nil where it cannot
// be told. name is what it was called by.
func workerOf(name string) []string {
	path, err := os.Executable()
	if err != nil {
		return nil
	}
	if runtime.GOOS == "linux" {
		path = "/proc/self/exe" // also where the file was replaced while it ran
	}
	return []string{path, name, workerName}
}

// ownWorker is how this call starts workers; nil for none.
func ownWorker(c *cli.Context) []string {
	worker, _ := c.App.Metadata[workerName].([]string)
	return worker
}
