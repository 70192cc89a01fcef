package main

import (
	"database/sql"
	"os"
	"path/filepath"
	"testing"
)

func openDB(t *testing.T, dir string) *sql.DB {
	t.Helper()
	db, err := sql.Open("sqlite", filepath.Join(dir, "results", "rowlight.db"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = db.Close() })
	return db
}

// watchRepeats has the database note each record that is written over another.
func watchRepeats(t *testing.T, dir string) {
	t.Helper()
	if !hasRecords(t, dir) {
		return
	}
	db := openDB(t, dir)
	defer db.Close()
	for _, do := range []string{
		`CREATE TABLE IF NOT EXISTS again (path TEXT)`,
		`CREATE TRIGGER IF NOT EXISTS overwritten AFTER UPDATE ON record BEGIN INSERT INTO again VALUES (new.path); END`,
	} {
		if _, err := db.Exec(do); err != nil {
			t.Fatal(err)
		}
	}
}

// hasRecords is false where a run was killed before it made its table.
func hasRecords(t *testing.T, dir string) bool {
	t.Helper()
	if _, err := os.Stat(filepath.Join(dir, "results", "rowlight.db")); err != nil {
		return false
	}
	db := openDB(t, dir)
	defer db.Close()
	return count(t, db, `SELECT count(*) FROM sqlite_schema WHERE name = 'record'`) == 1
}

func repeats(t *testing.T, dir string) int {
	t.Helper()
	db := openDB(t, dir)
	defer db.Close()
	if count(t, db, `SELECT count(*) FROM sqlite_schema WHERE name = 'again'`) == 0 {
		return 0 // never killed with a database there
	}
	return count(t, db, `SELECT count(*) FROM again`)
}

// keptPhotos counts the photos that are finished.
func keptPhotos(t *testing.T, dir string) int {
	t.Helper()
	if !hasRecords(t, dir) {
		return 0
	}
	db := openDB(t, dir)
	defer db.Close()
	return count(t, db, `SELECT count(*) FROM record WHERE settings != 'look'`)
}

func count(t *testing.T, db *sql.DB, query string) int {
	t.Helper()
	var n int
	if err := db.QueryRow(query).Scan(&n); err != nil {
		t.Fatal(err)
	}
	return n
}
