package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/urfave/cli/v2"

	"rowlight/internal/orchard"
	"rowlight/internal/pipeline"
	"rowlight/internal/report"
	"rowlight/internal/wholefile"
)

func reportCommand() *cli.Command {
	return &cli.Command{
		Name:      "report",
		Usage:     "one tree's or one block's report as a single file, to send",
		ArgsUsage: "FOLDER TREE|BLOCK",
		Description: "Writes the report of a tree (named as its photos are, b1-r03-t11) or of a block (b1) from the\n" +
			"results of a visit (rowlight assess) as one HTML file with its pictures within: it needs no other\n" +
			"file and no network. A block's pictures are made smaller to keep the file near 20 MB.\n\n" +
			"Example:\n   rowlight report my-orchard b1-r03-t11\n   rowlight report --out north.html my-orchard b1",
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "visit", Usage: "the visit's folder name; the newest where not given"},
			&cli.StringFlag{Name: "out", Usage: "the file to write; report-<tree or block>.html beside the visit's results where not given"},
		},
		OnUsageError: onUsageError,
		Action:       reportPart,
	}
}

func reportPart(c *cli.Context) error {
	dir, name, o, err := theOrchardAnd(c, "a tree or a block")
	if err != nil {
		return err
	}
	visit, err := visitOr(c, "visit", dir)
	if err != nil {
		return err
	}
	opt, results := report.OptionsFor(o, time.Now().In(o.Place.Zone)), filepath.Join(dir, pipeline.ResultsDir, visit)
	write, name, err := partNamed(name, o, opt, results)
	if err != nil {
		return err
	}
	res, err := readResults(dir, visit)
	if err != nil {
		return err
	}
	out := c.String("out")
	if out == "" {
		out = filepath.Join(results, "report-"+name+".html")
	}
	var made report.Single
	err = wholefile.Write(out, func(w io.Writer) (err error) {
		made, err = write(w, res)
		return err
	})
	if err != nil {
		return err
	}
	return sayWritten(c.App.Writer, out, made)
}

// partNamed finds the block or tree of a name: what writes its page, and how it is
// spelt.
func partNamed(name string, o *orchard.Orchard, opt report.Options, results string) (write func(io.Writer, *orchard.VisitResult) (report.Single, error), spelt string, err error) {
	if i := slices.IndexFunc(o.Blocks, func(b orchard.Block) bool { return strings.EqualFold(b.Key, name) }); i >= 0 {
		key := o.Blocks[i].Key
		return func(w io.Writer, res *orchard.VisitResult) (report.Single, error) {
			return report.WriteBlock(w, res, opt, results, key)
		}, key, nil
	}
	ids, err := treesNamed(name, o)
	if err != nil || len(ids) != 1 {
		return nil, "", usageError{fmt.Errorf("there is no block and no tree %q: name a tree as its photos are, as b1-r01-t02, or a block by its key, as b1", name)}
	}
	return func(w io.Writer, res *orchard.VisitResult) (report.Single, error) {
		return report.WriteTree(w, res, opt, results, ids[0])
	}, ids[0].String(), nil
}

func sayWritten(w io.Writer, out string, made report.Single) error {
	info, err := os.Stat(out)
	if err != nil {
		return err
	}
	smaller := ""
	if made.LongestPx > 0 {
		smaller = fmt.Sprintf(", made smaller to %d pixels at most", made.LongestPx)
	}
	_, err = fmt.Fprintf(w, "Report: %s, %.1f MB, %s within%s.\n", out, float64(info.Size())/1e6, pictures(made.Pictures), smaller)
	return err
}

func pictures(n int) string {
	if n == 1 {
		return "1 picture"
	}
	return fmt.Sprintf("%d pictures", n)
}
