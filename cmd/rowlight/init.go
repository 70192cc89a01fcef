package main

import (
	"fmt"

	"github.com/urfave/cli/v2"

	"rowlight/internal/orchard"
)

func initCommand() *cli.Command {
	return &cli.Command{
		Name:         "init",
		Usage:        "begin an orchard folder",
		ArgsUsage:    "FOLDER",
		Description:  "Writes a commented orchard.toml, photos.csv, measured.csv and marks.csv and the folders for\nphotos and results. What is there already is left as it is.\n\nExample:\n   rowlight init my-orchard",
		OnUsageError: onUsageError,
		Action:       initFolder,
	}
}

func initFolder(c *cli.Context) error {
	dir, err := oneFolder(c)
	if err != nil {
		return err
	}
	made, kept, err := orchard.Init(dir)
	if err != nil {
		return err
	}
	for _, name := range made {
		fmt.Fprintln(c.App.Writer, "made", name)
	}
	for _, name := range kept {
		fmt.Fprintln(c.App.Writer, "kept", name)
	}
	fmt.Fprintf(c.App.Writer, "Next: put your own blocks into %s/orchard.toml, print the boards (rowlight boards %s),\nand lay the photos of a visit into %s/photos/2026-08-14/ or the like.\n", dir, dir, dir)
	return nil
}
