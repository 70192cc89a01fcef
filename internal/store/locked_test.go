//go:build unix

package store

import (
	"bufio"
	"database/sql"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// lockEnv makes the test binary a program that holds a database's lock until it is
// told to let go.
const lockEnv = "ROWLIGHT_TEST_LOCK"

func lockUntilTold(path string) error {
	db, err := sql.Open("sqlite", path)
	if err != nil {
		return err
	}
	defer db.Close()
	db.SetMaxOpenConns(1)
	if _, err := db.Exec("BEGIN EXCLUSIVE"); err != nil {
		return err
	}
	fmt.Println("held")
	_, _ = bufio.NewReader(os.Stdin).ReadString('\n') // until told, or the test is gone
	_, err = db.Exec("ROLLBACK")
	return err
}

func TestAnotherProgramsLock(t *testing.T) {
	path := filepath.Join(t.TempDir(), FileName)
	s := mustOpen(t, path)
	mustPut(t, s, record(1))
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), lockEnv+"="+path)
	letGo := startHolder(t, cmd)
	begun := time.Now()
	const short = 300 * time.Millisecond
	if _, err := openWaiting(t.Context(), path, short); err == nil || !strings.Contains(err.Error(), "another program holds it") || !strings.Contains(err.Error(), path) {
		t.Errorf("error %v, want one that names the file and says that another program holds it", err)
	}
	if took := time.Since(begun); took < short {
		t.Errorf("gave up after %v, want it to wait %v", took, short)
	}
	time.AfterFunc(short, func() { _ = letGo() })
	s, err := openWaiting(t.Context(), path, time.Minute)
	if err != nil {
		t.Fatal("the lock was let go, and yet: ", err)
	}
	defer s.Close()
	if _, ok := get(t, s, record(1)); !ok || s.Note != "" {
		t.Errorf("record there: %v, note %q; want it there and nothing said", ok, s.Note)
	}
	if err := cmd.Wait(); err != nil {
		t.Error(err)
	}
}
