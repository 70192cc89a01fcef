package plan

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"rowlight/internal/orchard"
	"rowlight/internal/report"
)

// Load reads what a plan needs from an orchard folder: a visit's results, the other
// visits' for what they teach, and the marks. Problems are of marks.csv, and of other
// visits that cannot be read; the rest was.
func Load(dir string, o *orchard.Orchard, visit string) (Input, orchard.Problems, error) {
	in := Input{Orchard: o}
	var err error
	if in.Visit, in.NewPhotos, err = loadVisit(dir, visit); err != nil {
		return in, nil, err
	}
	var problems orchard.Problems
	if in.Marks, problems, err = orchard.LoadMarks(dir, o); err != nil {
		return in, nil, err
	}
	in.SitePairs = loadSitePairs(dir)
	entries, err := os.ReadDir(filepath.Join(dir, orchard.ResultsDir))
	if err != nil {
		return in, problems, fmt.Errorf("plan: read folder: %w", err)
	}
	for _, e := range entries {
		if !e.IsDir() || e.Name() == visit {
			continue
		}
		switch other, err := readResults(dir, e.Name()); {
		case err == nil:
			in.History = append(in.History, other)
		case !errors.Is(err, fs.ErrNotExist):
			problems = append(problems, orchard.Problem{
				File: filepath.ToSlash(filepath.Join(orchard.ResultsDir, e.Name(), report.JSONName)),
				What: fmt.Sprintf("cannot be read and teaches nothing (%v)", err), Mend: "run rowlight assess --visit " + e.Name(),
			})
		}
	}
	return in, problems, nil
}

// loadVisit reads the visit to plan from, and says what to do where it cannot; fresh is
// how many of its photos are not among its results.
func loadVisit(dir, visit string) (res *orchard.VisitResult, fresh int, err error) {
	scan, err := orchard.ScanVisit(dir, visit)
	if err != nil {
		return nil, 0, err
	}
	res, err = readResults(dir, visit)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, 0, fmt.Errorf("visit %s has no results yet: run first: rowlight assess --visit %s %s", visit, visit, dir)
	case err != nil:
		return nil, 0, fmt.Errorf("the results of visit %s cannot be read (%w): run again: rowlight assess --visit %s %s", visit, err, visit, dir)
	}
	for _, photo := range scan.Photos {
		if !slices.ContainsFunc(res.Photos, func(r orchard.Record) bool { return r.Path == photo }) {
			fresh++
		}
	}
	return res, fresh, nil
}

func readResults(dir, visit string) (*orchard.VisitResult, error) {
	f, err := os.Open(filepath.Join(dir, orchard.ResultsDir, visit, report.JSONName))
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return report.ReadJSON(f)
}
