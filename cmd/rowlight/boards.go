package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/urfave/cli/v2"

	"rowlight/internal/boards"
	"rowlight/internal/orchard"
	"rowlight/internal/wholefile"
	"rowlight/vision"
)

// defaultBoards are enough for one crew: one to carry, two for the foliage
// edges of an alley.
const defaultBoards = "0-2"

func boardsCommand() *cli.Command {
	return &cli.Command{
		Name:         "boards",
		Usage:        "print the marker boards and tree cards as PDF",
		ArgsUsage:    "FOLDER",
		Description:  "Writes boards.pdf (each board on A3, and on four A4 sheets to be joined) and tree-cards.pdf\n(a QR card for every tree of the orchard file) into the orchard folder. Print at 100 %, then\nmeasure the 100 mm bar.\n\nExample:\n   rowlight boards --numbers 0-4 my-orchard",
		Flags:        []cli.Flag{&cli.StringFlag{Name: "numbers", Value: defaultBoards, Usage: "which boards, as 0-2 or 0,3,7 (0 to 24)"}},
		OnUsageError: onUsageError,
		Action:       printBoards,
	}
}

func printBoards(c *cli.Context) error {
	dir, err := oneFolder(c)
	if err != nil {
		return err
	}
	numbers, err := parseNumbers(c.String("numbers"))
	if err != nil {
		return usageError{err}
	}
	o, err := orchard.Load(dir)
	if err != nil {
		return err
	}
	err = savePDF(c, filepath.Join(dir, "boards.pdf"), func(w io.Writer) error {
		return boards.WriteBoards(w, numbers, func(id int) (boards.Pattern, error) {
			p, err := vision.MarkerPattern(id)
			return boards.Pattern(p), err
		})
	})
	if err != nil {
		return err
	}
	missing := ""
	err = savePDF(c, filepath.Join(dir, "tree-cards.pdf"), func(w io.Writer) (err error) {
		missing, err = boards.WriteCards(w, treeCards(o))
		return err
	})
	tellMissing(c, "tree-cards.pdf", missing)
	return err
}

// tellMissing names the letters that a PDF's type has not.
func tellMissing(c *cli.Context, name, missing string) {
	if missing != "" {
		fmt.Fprintf(c.App.ErrWriter, "%s: its type has no letters for %q, written as ?: name the orchard and its blocks in Latin, Greek or Cyrillic letters\n", name, missing)
	}
}

func savePDF(c *cli.Context, path string, write func(io.Writer) error) error {
	if err := wholefile.Write(path, write); err != nil {
		return err
	}
	info, err := os.Stat(path)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(c.App.Writer, "wrote %s (%d kB)\n", path, (info.Size()+999)/1000)
	return err
}

func treeCards(o *orchard.Orchard) []boards.Card {
	var cards []boards.Card
	for _, id := range o.Trees() {
		name := id.Block
		if b := o.Block(id.Block); b != nil && b.Name != "" {
			name = b.Name
		}
		cards = append(cards, boards.Card{
			Payload: orchard.CardText(id),
			Title:   fmt.Sprintf("%s, row %d, tree %d", strings.ReplaceAll(name, ",", ""), id.Row, id.Tree),
			Note:    o.Name,
		})
	}
	return cards
}

// parseNumbers reads "0-2" and "0,3,7".
func parseNumbers(s string) ([]int, error) {
	var out []int
	for _, part := range strings.Split(s, ",") {
		from, to, isRange := strings.Cut(strings.TrimSpace(part), "-")
		a, err := strconv.Atoi(from)
		b := a
		if err == nil && isRange {
			b, err = strconv.Atoi(to)
		}
		if err != nil || a < 0 || b < a || b > 24 {
			return nil, fmt.Errorf("--numbers %q: give boards from 0 to 24, as 0-2 or 0,3,7", s)
		}
		for n := a; n <= b; n++ {
			out = append(out, n)
		}
	}
	return out, nil
}
