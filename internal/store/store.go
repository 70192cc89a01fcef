// Package store keeps the records of photos on disk, so that a photo that has not
// changed is not measured again. It is a SQLite database without cgo; a run killed
// at any moment leaves it sound.
package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"time"

	_ "modernc.org/sqlite" // the driver "sqlite"

	"rowlight/internal/orchard"
)

// FileName is the database's name within an orchard's results folder.
const FileName = "rowlight.db"

const (
	// applicationID marks the file as ours ("RLDB"), SQLite's application_id.
	applicationID = 0x524c4442
	// schemaVersion is of the tables and of the record's JSON; SQLite's
	// user_version. A change of either raises it, and older files are kept aside.
	schemaVersion = 1
	// busyTimeout is how long to wait for another process that is writing: a
	// write takes milliseconds, so a lock held this long is another's for good.
	busyTimeout = 10 * time.Second
)

// One row a photo, file content, settings and version of the program, so that
// settings changed and changed back cost nothing.
const schema = `CREATE TABLE IF NOT EXISTS record (
	path TEXT NOT NULL, sha256 TEXT NOT NULL, settings TEXT NOT NULL, version TEXT NOT NULL,
	body TEXT NOT NULL,
	PRIMARY KEY (path, sha256, settings, version)
) WITHOUT ROWID`

// Store is an open database. Its methods may be called from several goroutines;
// writes go one at a time.
type Store struct {
	db   *sql.DB
	path string
	// Note is for the person at the terminal: that a damaged file was kept aside and
	// begun anew; "" for nothing to say.
	Note string
}

// Open opens the database at path and makes it where there is none; its folder
// must be there. A file that is damaged, or that an older Rowlight wrote, is
// renamed beside itself and a new one is begun: Note says so. One by a newer
// Rowlight, or in a folder that cannot be written to, is an error.
func Open(ctx context.Context, path string) (*Store, error) {
	return openWaiting(ctx, path, busyTimeout)
}

func openWaiting(ctx context.Context, path string, wait time.Duration) (*Store, error) {
	s, err := open(ctx, path, wait)
	var aside *asideError
	if !errors.As(err, &aside) {
		return s, err
	}
	kept, err := keepAside(path)
	if err != nil {
		return nil, fmt.Errorf("store: %s %s, and it cannot be renamed: %w", path, aside.why, err)
	}
	if s, err = open(ctx, path, wait); err != nil {
		return nil, err
	}
	s.Note = fmt.Sprintf("%s %s: it was kept as %s and a new one begun, so photos are measured again", filepath.Base(path), aside.why, filepath.Base(kept))
	return s, nil
}

func open(ctx context.Context, path string, wait time.Duration) (*Store, error) {
	db, err := sql.Open("sqlite", dsn(path, wait))
	if err != nil {
		return nil, explain(path, "open", err)
	}
	// SQLite has one writer; one connection makes goroutines queue here instead of
	// meeting its lock.
	db.SetMaxOpenConns(1)
	s := &Store{db: db, path: path}
	if err := s.prepare(ctx); err != nil {
		return nil, errors.Join(err, db.Close())
	}
	return s, nil
}

// dsn names the file and how to open it. A rollback journal, not WAL: it works on
// network and card file systems too, and one photo a second does not need more.
// EXTRA syncs the journal's removal, so that what Put returned from is on disk.
func dsn(path string, wait time.Duration) string {
	q := url.Values{}
	q.Add("_pragma", fmt.Sprintf("busy_timeout(%d)", wait.Milliseconds()))
	q.Add("_pragma", "journal_mode(DELETE)")
	q.Add("_pragma", "synchronous(EXTRA)")
	q.Add("_txlock", "immediate")
	u := url.URL{Scheme: "file", Opaque: (&url.URL{Path: filepath.ToSlash(path)}).EscapedPath(), RawQuery: q.Encode()}
	return u.String()
}

// prepare checks the file and makes it ready, with a first write that shows
// whether it can be written to.
func (s *Store) prepare(ctx context.Context) error {
	if err := s.check(ctx); err != nil {
		return err
	}
	tx, err := s.db.BeginTx(ctx, nil)
	if err != nil {
		return explain(s.path, "open", err)
	}
	defer func() { _ = tx.Rollback() }() // nothing to undo after Commit
	for _, do := range []string{
		fmt.Sprintf("PRAGMA application_id = %d", applicationID),
		fmt.Sprintf("PRAGMA user_version = %d", schemaVersion),
		schema,
	} {
		if _, err := tx.ExecContext(ctx, do); err != nil {
			return explain(s.path, "open", err)
		}
	}
	if err := tx.Commit(); err != nil {
		return explain(s.path, "open", err)
	}
	return nil
}

// Get returns the record kept for a photo (its path within the orchard folder), its
// content, settings and version; ok is false where there is none. A record that
// cannot be read counts as none: the photo is measured again.
func (s *Store) Get(ctx context.Context, path, sha256, settings, version string) (rec *orchard.Record, ok bool, err error) {
	var body []byte
	err = s.db.QueryRowContext(ctx,
		`SELECT body FROM record WHERE path = ? AND sha256 = ? AND settings = ? AND version = ?`,
		path, sha256, settings, version).Scan(&body)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, false, nil
	}
	if err != nil {
		return nil, false, explain(s.path, "read", err)
	}
	rec = new(orchard.Record)
	if err := json.Unmarshal(body, rec); err != nil || rec.Check() != nil {
		return nil, false, nil
	}
	return rec, true, nil
}

// Put keeps a record under its own Path, SHA256, Settings and Version, in place of
// one kept there before. When it returns nil the record is on disk.
func (s *Store) Put(ctx context.Context, rec *orchard.Record) error {
	if rec.Path == "" || rec.SHA256 == "" {
		return fmt.Errorf("store: keep record: path %q and content hash %q must both be set", rec.Path, rec.SHA256)
	}
	body, err := json.Marshal(rec)
	if err != nil {
		return fmt.Errorf("store: keep record of %q: %w", rec.Path, err)
	}
	_, err = s.db.ExecContext(ctx,
		`INSERT INTO record (path, sha256, settings, version, body) VALUES (?, ?, ?, ?, ?)
		ON CONFLICT DO UPDATE SET body = excluded.body`,
		rec.Path, rec.SHA256, rec.Settings, rec.Version, string(body))
	if err != nil {
		return explain(s.path, "write", err)
	}
	return nil
}

// Close closes the database.
func (s *Store) Close() error {
	if err := s.db.Close(); err != nil {
		return explain(s.path, "close", err)
	}
	return nil
}

// fileExists says whether something lies at a path.
func fileExists(path string) bool {
	_, err := os.Lstat(path)
	return err == nil
}
