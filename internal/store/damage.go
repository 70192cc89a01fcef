package store

import (
	"context"
	"errors"
	"fmt"
	"os"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

// asideError is a file that is to be kept aside; why goes on from its name: "is
// damaged".
type asideError struct{ why string }

func (e *asideError) Error() string { return "store: the database " + e.why }

// check reads the whole file once for damage, and whose it is.
func (s *Store) check(ctx context.Context) error {
	var found string
	err := s.db.QueryRowContext(ctx, "PRAGMA quick_check(1)").Scan(&found)
	switch {
	case isDamage(err):
		return &asideError{"is damaged"}
	case err != nil:
		return explain(s.path, "open", err)
	case found != "ok":
		return &asideError{"is damaged"}
	}
	var id, version, tables int
	for query, into := range map[string]*int{
		"PRAGMA application_id":              &id,
		"PRAGMA user_version":                &version,
		"SELECT count(*) FROM sqlite_schema": &tables,
	} {
		if err := s.db.QueryRowContext(ctx, query).Scan(into); err != nil {
			return explain(s.path, "open", err)
		}
	}
	return judge(s.path, id, version, tables)
}

// judge says what is to become of a sound file by its marks.
func judge(path string, id, version, tables int) error {
	switch {
	case id == 0 && version == 0 && tables == 0: // new
		return nil
	case id != applicationID:
		return &asideError{"is not Rowlight's"}
	case version > schemaVersion:
		return fmt.Errorf("store: %s was written by a newer Rowlight: use that one, or move the file away to measure anew", path)
	case version < schemaVersion:
		return &asideError{"is of an older Rowlight"}
	}
	return nil
}

// maxAside is how many files are kept aside before a person should look.
const maxAside = 100

// keepAside renames a database, and the journal that belongs to it, to the first
// name that is free. The journal must go along: left behind it would be played
// back into the new file.
func keepAside(path string) (kept string, err error) {
	for n := 1; n <= maxAside; n++ {
		kept = fmt.Sprintf("%s.kept-%d", path, n)
		if fileExists(kept) {
			continue
		}
		if err := os.Rename(path, kept); err != nil {
			return "", err
		}
		for _, tail := range []string{"-journal", "-wal", "-shm"} {
			if fileExists(path + tail) {
				if err := os.Rename(path+tail, kept+tail); err != nil {
					return "", err
				}
			}
		}
		return kept, nil
	}
	return "", fmt.Errorf("%d files are kept beside it already: take them away", maxAside)
}

// primary is the part of a SQLite result code that names its class.
const primary = 0xff

// code returns SQLite's result code of an error, 0 for another's error.
func code(err error) int {
	var e *sqlite.Error
	if errors.As(err, &e) {
		return e.Code()
	}
	return 0
}

func isDamage(err error) bool {
	c := code(err) & primary
	return c == sqlite3.SQLITE_CORRUPT || c == sqlite3.SQLITE_NOTADB
}

// explain puts an error of SQLite into a person's words, with the mend; the cause
// stays in the chain.
func explain(path, verb string, err error) error {
	what := ""
	switch c := code(err); c & primary {
	case sqlite3.SQLITE_FULL:
		what = "the disk is full: free some room and run again, what was measured is kept"
	case sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM:
		what = "it cannot be written to: check that its folder is there and that you may write in it"
	case sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED:
		what = "another program holds it, a Rowlight or one that looks into databases: close that one and run again"
	case sqlite3.SQLITE_IOERR:
		what = "the disk is full or failing: look after it and run again, what was measured is kept"
	case sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB:
		what = "it is damaged: run again, and it is kept aside and a new one begun"
	default:
		return fmt.Errorf("store: %s %s: %w", verb, path, err)
	}
	return fmt.Errorf("store: %s %s: %s (%w)", verb, path, what, err)
}
