// Command accuracy runs the pipeline on photos with a known answer and prints
// its errors and whether the bounds of issue 4 hold: make accuracy [TRUTH=FOLDER]
// [OUT=FILE.csv]. On the project's own practice set a bound that is missed makes the
// exit status 1; a folder of one's own is only reported on.
package main

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"

	"rowlight/internal/accuracy"
	"rowlight/internal/pipeline"
	"rowlight/vision"
)

func main() {
	truth := flag.String("truth", "", "folder of photos with truth; none: the practice set, or testdata/rendered where that is missing")
	out := flag.String("out", "", "write every case to this CSV file")
	spacing := flag.Bool("spacing", false, "tell the rows' and trees' spacing where the truth has it, as an orchard file does")
	readme := flag.String("readme", "", "put the bounds' table into this README")
	flag.Parse()
	if err := run(*truth, *out, *readme, *spacing); err != nil {
		fmt.Fprintln(os.Stderr, "accuracy:", err)
		os.Exit(1)
	}
}

func run(truth, out, readme string, spacing bool) error {
	dirs, note := folders(truth)
	fmt.Println(note)
	if err := vision.SetThreads(1); err != nil {
		return err
	}
	var rows []accuracy.Row
	for _, dir := range dirs {
		got, err := judge(dir, spacing)
		if err != nil {
			return err
		}
		stereo, err := accuracy.StereoCases(dir)
		if err != nil {
			return err
		}
		pairs, err := judgeEach(stereo, "pairs", accuracy.JudgeStereo)
		if err != nil {
			return err
		}
		rows = append(append(rows, got...), pairs...)
	}
	if len(rows) == 0 {
		return fmt.Errorf("no photo with truth in %v: name a folder of JPEGs with a JSON of the same stem", dirs)
	}
	if err := accuracy.Print(os.Stdout, accuracy.Summarise(rows)); err != nil {
		return err
	}
	if out != "" {
		if err := writeCases(out, rows); err != nil {
			return err
		}
	}
	verdicts := accuracy.Hold(accuracy.Bounds(), rows)
	fmt.Println()
	if err := accuracy.PrintBounds(os.Stdout, verdicts); err != nil {
		return err
	}
	if readme != "" {
		if err := putTable(readme, verdicts); err != nil {
			return err
		}
	}
	if truth == "" {
		fmt.Println()
		if err := accuracy.PrintDots(os.Stdout, "../shared/truth/orchard_rows", "testdata/dots/labels.csv"); err != nil {
			return err
		}
	}
	if err := floorMethods(dirs); err != nil {
		return err
	}
	if err := compared(dirs, rows); err != nil {
		return err
	}
	if n := accuracy.Missed(verdicts); n > 0 && truth == "" {
		return fmt.Errorf("%d of %d bounds are missed", n, len(verdicts))
	}
	return nil
}

func putTable(name string, verdicts []accuracy.Verdict) error {
	old, err := os.ReadFile(name)
	if err != nil {
		return err
	}
	text, err := accuracy.PutTable(old, verdicts)
	if err != nil {
		return err
	}
	return os.WriteFile(name, text, 0o644)
}

func writeCases(out string, rows []accuracy.Row) error {
	f, err := os.Create(out)
	if err != nil {
		return err
	}
	defer f.Close()
	if err := accuracy.WriteCSV(f, rows); err != nil {
		return err
	}
	return f.Close()
}

// folders picks what to judge on, and says so.
func folders(truth string) ([]string, string) {
	if truth != "" {
		return []string{truth}, "truth: " + truth
	}
	const shared, kept = "../shared/truth/rendered", "testdata/rendered"
	if _, err := os.Stat(shared); err == nil {
		return []string{shared}, "truth: the rendered practice set (its README says how it was made; what was tuned on it stands in DEVELOPERS.md)"
	}
	return []string{kept}, "truth: testdata/rendered only, a part of the practice set; the whole of it is not on this machine"
}

func judge(dir string, spacing bool) ([]accuracy.Row, error) {
	cases, err := accuracy.Load(dir)
	if err != nil {
		return nil, err
	}
	return judgeEach(cases, "photos", func(c accuracy.Case) ([]accuracy.Row, error) {
		data, err := os.ReadFile(c.Path)
		if err != nil {
			return nil, err
		}
		set := pipeline.DefaultSettings()
		if spacing {
			set.RowSpacingM, set.TreeSpacingM = c.RowSpacingM, c.TreeSpacingM
		}
		got := pipeline.Measure(data, c.Kind, pipeline.Env{Set: set, NumbersOnly: true})
		return accuracy.Judge(c, filepath.Base(c.Path), got), nil
	})
}

// floorMethods shows why the sunlit share is found as it is.
func floorMethods(dirs []string) error {
	fmt.Println()
	for _, dir := range dirs {
		cases, err := accuracy.Load(dir)
		if err != nil {
			return err
		}
		if err := accuracy.PrintFloorMethods(os.Stdout, cases, pipeline.Env{Set: pipeline.DefaultSettings()}); err != nil {
			return err
		}
	}
	return nil
}

// compared judges before-and-after pairs, untouched trees photographed twice, and
// the ranking of invented orchards with the errors of these rows (issue 5).
func compared(dirs []string, rows []accuracy.Row) error {
	fmt.Println()
	for _, dir := range dirs {
		pairs, err := accuracy.JudgePairs(dir)
		if err != nil {
			return err
		}
		if err := accuracy.PrintPairs(os.Stdout, pairs); err != nil {
			return err
		}
	}
	fmt.Println()
	single, pairs, err := accuracy.ErrorsOf(rows)
	if err != nil {
		fmt.Printf("no ranking of invented orchards: %v\n", err)
		return nil
	}
	all, err := accuracy.InventedTable(accuracy.InventedOrchards, single, pairs)
	if err != nil {
		return err
	}
	return accuracy.PrintInvented(os.Stdout, single, pairs, all)
}
