// Command rowlight measures an orchard's canopies from ordinary photos and says
// which trees to prune first. See README.md.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/signal"
	"syscall"

	"github.com/urfave/cli/v2"

	"rowlight/internal/orchard"
)

// version is set by the build (see the Makefile).
var version = "unversioned"

// The exit statuses.
const (
	exitOK          = 0
	exitCannotRun   = 1
	exitUsage       = 2
	exitSomeRefused = 3
	exitInterrupted = 130
)

// errSomeRefused: all was done, but some photos gave no number; they are listed.
var errSomeRefused = errors.New("some photos were refused or failed")

// usageError is a call that cannot be understood.
type usageError struct{ error }

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := runWith(ctx, os.Args, workerOf(os.Args[0]), os.Stdout, os.Stderr)
	stop()
	os.Exit(code)
}

// runWith is main without the process: it returns the exit status. worker starts this
// program again as a worker; nil has photos measured in this process.
func runWith(ctx context.Context, args, worker []string, stdout, stderr io.Writer) int {
	out, errs := screen{stdout}, screen{stderr}
	return exitCode(newApp(worker, out, errs).RunContext(ctx, args), errs)
}

// exitCode says what went wrong, once, and maps it to a status.
func exitCode(err error, stderr io.Writer) int {
	var usage usageError
	switch {
	case err == nil:
		return exitOK
	case errors.Is(err, errSomeRefused):
		return exitSomeRefused
	case errors.Is(err, context.Canceled):
		fmt.Fprintln(stderr, "rowlight:", err)
		return exitInterrupted
	case errors.As(err, &usage):
		fmt.Fprintf(stderr, "rowlight: %v\nSee: rowlight help\n", err)
		return exitUsage
	case errors.Is(err, syscall.ENOSPC), errors.Is(err, syscall.EDQUOT):
		fmt.Fprintf(stderr, "rowlight: %v: free some room and run again; what was measured is kept\n", err)
		return exitCannotRun
	case errors.Is(err, syscall.EROFS):
		fmt.Fprintf(stderr, "rowlight: %v: copy the orchard folder to a disk that can be written to\n", err)
		return exitCannotRun
	case errors.Is(err, fs.ErrPermission):
		fmt.Fprintf(stderr, "rowlight: %v: check that you may read and write there\n", err)
		return exitCannotRun
	}
	fmt.Fprintln(stderr, "rowlight:", err)
	return exitCannotRun
}

func newApp(worker []string, stdout, stderr io.Writer) *cli.App {
	return &cli.App{
		Name:  "rowlight",
		Usage: "which trees to prune first, from ordinary photos",
		Description: "A folder of photos in, a ranked list of trees out: sun flecks on the floor, tree height\n" +
			"and shape, and clear alley width, each with its 95 % interval.\n\n" +
			"Example:\n   rowlight init my-orchard      begin an orchard folder\n" +
			"   rowlight boards my-orchard    print the marker boards and tree cards\n" +
			"   rowlight check IMG_0412.jpg   will this photo do?\n" +
			"   rowlight assess my-orchard    measure a visit and rank its trees\n" +
			"   rowlight plan my-orchard      which trees to prune, how much, where, which way",
		Version:  version,
		Metadata: map[string]any{workerName: worker},
		Writer:   stdout, ErrWriter: stderr,
		HideHelpCommand: false,
		Commands: []*cli.Command{
			initCommand(), boardsCommand(), checkCommand(), assessCommand(), planCommand(), compareCommand(),
			historyCommand(), lensCommand(), explainCommand(), reportCommand(), workerCommand(),
		},
		// Exits happen in main only.
		ExitErrHandler: func(*cli.Context, error) {},
		OnUsageError:   func(_ *cli.Context, err error, _ bool) error { return usageError{err} },
		Action: func(c *cli.Context) error {
			if c.NArg() > 0 {
				return usageError{fmt.Errorf("there is no command %q", c.Args().First())}
			}
			return cli.ShowAppHelp(c)
		},
	}
}

// oneFolder returns the single argument of a command that takes an orchard
// folder.
func oneFolder(c *cli.Context) (string, error) {
	if c.NArg() != 1 {
		return "", usageError{fmt.Errorf("%s takes one orchard folder, %d given (options come before it)", c.Command.Name, c.NArg())}
	}
	return c.Args().First(), nil
}

// theOrchard is the one orchard folder of a call, and its file.
func theOrchard(c *cli.Context) (dir string, o *orchard.Orchard, err error) {
	if dir, err = oneFolder(c); err != nil {
		return "", nil, err
	}
	o, err = orchard.Load(dir)
	return dir, o, err
}

// theOrchardAnd is the orchard folder of a call of two, its file, and the other argument,
// which is a tree, say.
func theOrchardAnd(c *cli.Context, other string) (dir, name string, o *orchard.Orchard, err error) {
	if c.NArg() != 2 {
		return "", "", nil, usageError{fmt.Errorf("%s takes an orchard folder and %s, %d given (options come before them)", c.Command.Name, other, c.NArg())}
	}
	dir, name = c.Args().First(), c.Args().Get(1)
	o, err = orchard.Load(dir)
	return dir, name, o, err
}

// visitOr is the visit that an option names, or the newest there is.
func visitOr(c *cli.Context, option, dir string) (string, error) {
	if visit := c.String(option); visit != "" {
		return visit, nil
	}
	return orchard.NewestVisit(dir)
}

// tell prints what is to be said of files that a person made.
func tell(c *cli.Context, problems orchard.Problems) {
	for _, p := range problems {
		fmt.Fprintln(c.App.ErrWriter, p)
	}
}

func onUsageError(_ *cli.Context, err error, _ bool) error { return usageError{err} }
