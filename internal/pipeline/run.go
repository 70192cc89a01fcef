package pipeline

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"rowlight/internal/crew"
	"rowlight/internal/orchard"
	"rowlight/internal/store"
	"rowlight/vision"
)

// ResultsDir is the folder of results within an orchard folder.
const ResultsDir = "results"

// RunOptions says what to run over.
type RunOptions struct {
	Dir     string // the orchard folder
	Orchard *orchard.Orchard
	Visit   string
	Version string // of the program; a new one measures anew
	Workers int    // photos at once; 0 takes one a core
	// Worker starts a worker process: the program's path, and then all its arguments, its
	// own name first. That process calls ServeWorker with the same Version. Nil measures in
	// this process, which then shares the fate of every photo.
	Worker []string
	// PhotoLimit is how long a photo or pair may keep a worker; 0 takes DefaultPhotoLimit.
	PhotoLimit time.Duration
	// Retry takes up photos again that an earlier run gave up.
	Retry bool
	// Write is called with the result while the folder is still held; nil for nothing to
	// write.
	Write func(*Result) error
}

// Event tells of one photo that is done.
type Event struct {
	Done, Total int
	Record      orchard.Record
	Reused      bool // the record was kept from an earlier run
}

// Result is what a run gave, and what was said on the way.
type Result struct {
	Visit    orchard.VisitResult
	Warnings []string // about files that a person made, and a database set aside
	Measured int      // photos measured in this run
	Reused   int      // photos whose record was kept
	Passed   int      // files and folders of the visit that could not be looked into; Warnings name them
}

// Run measures every photo of a visit and ranks its trees. Photos are done
// several at once; each record is kept as soon as it is there, so that a run
// broken off goes on where it stopped. emit is called once a photo, never twice
// at the same time; nil is no one to tell. The error is for what stops the run:
// the context ended, the folder or the database cannot be used. Bad photos are
// records, not errors.
func Run(ctx context.Context, opt RunOptions, emit func(Event)) (*Result, error) {
	if err := vision.SetThreads(1); err != nil { // one worker a core does the spreading
		return nil, err
	}
	if emit == nil {
		emit = func(Event) {}
	}
	if opt.PhotoLimit == 0 {
		opt.PhotoLimit = DefaultPhotoLimit
	}
	scan, err := orchard.ScanVisit(opt.Dir, opt.Visit)
	if err != nil {
		return nil, err
	}
	hold, err := claim(opt.Dir)
	if err != nil {
		return nil, err
	}
	defer hold.Release()
	db, err := openStore(ctx, opt.Dir)
	if err != nil {
		return nil, err
	}
	defer db.Close()
	openCV, err := vision.OpenCVVersion()
	if err != nil {
		return nil, err
	}
	r := &runner{opt: opt, db: db, emit: emit, openCV: openCV}
	r.rooms = make(crew.Spares, r.workers())
	if len(opt.Worker) > 0 {
		r.crew = crew.New(opt.Worker, opt.Version, opt.PhotoLimit)
		defer r.crew.Close()
	}
	if err := r.sweep(); err != nil {
		return nil, fmt.Errorf("pipeline: remove half an overlay: %w", err)
	}
	if db.Note != "" {
		r.warnings = append(r.warnings, db.Note)
	}
	return r.run(ctx, scan)
}

func (r *runner) run(ctx context.Context, scan *orchard.Scan) (*Result, error) {
	r.warn(scan.Problems)
	places, err := r.place(ctx, scan)
	if err != nil {
		return nil, err
	}
	records, err := r.measureAll(ctx, places)
	if err != nil {
		return nil, err
	}
	flagTwins(records)
	pairs, err := r.measurePairs(ctx, records)
	if err != nil {
		return nil, err
	}
	if r.crew != nil { // ranking and reporting thousands of trees takes the memory that workers hold
		if err := r.crew.Close(); err != nil {
			return nil, err
		}
	}
	res, err := r.result(records, pairs)
	if err != nil {
		return nil, err
	}
	res.Passed = len(scan.Problems)
	if r.opt.Write != nil {
		err = r.opt.Write(res)
	}
	return res, err
}

// claim makes the results folder and takes hold of it: one run at a time.
func claim(dir string) (*store.Hold, error) {
	results := filepath.Join(dir, ResultsDir)
	if err := os.MkdirAll(results, 0o755); err != nil {
		return nil, fmt.Errorf("pipeline: make results folder: %w", err)
	}
	return store.Claim(results)
}

func openStore(ctx context.Context, dir string) (*store.Store, error) {
	return store.Open(ctx, filepath.Join(dir, ResultsDir, store.FileName))
}
