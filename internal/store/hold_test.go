//go:build unix

package store

import (
	"bufio"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"strings"
	"testing"
)

// holdEnv makes the test binary a process that claims a folder and waits.
const holdEnv = "ROWLIGHT_TEST_HOLD"

func TestMain(m *testing.M) {
	if dir := os.Getenv(holdEnv); dir != "" {
		if _, err := Claim(dir); err != nil {
			fmt.Println("no:", err)
			os.Exit(1)
		}
		fmt.Println("held")
		_, _ = bufio.NewReader(os.Stdin).ReadString('\n') // until the test lets go, or kills
		os.Exit(0)
	}
	if path := os.Getenv(lockEnv); path != "" {
		if err := lockUntilTold(path); err != nil {
			fmt.Println("no:", err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	os.Exit(m.Run())
}

func holdElsewhere(t *testing.T, dir string) (*exec.Cmd, func() error) {
	t.Helper()
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), holdEnv+"="+dir)
	return cmd, startHolder(t, cmd)
}

// startHolder starts a process that says "held" and waits for its input's end.
func startHolder(t *testing.T, cmd *exec.Cmd) (letGo func() error) {
	t.Helper()
	in, err := cmd.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	line, _ := bufio.NewReader(out).ReadString('\n')
	if line != "held\n" {
		t.Fatalf("the other process says %q", line)
	}
	return in.Close
}

func TestSecondRunIsTold(t *testing.T) {
	dir := t.TempDir()
	cmd, done := holdElsewhere(t, dir)
	_, err := Claim(dir)
	var held *HeldError
	if !errors.As(err, &held) || !strings.Contains(held.Who, fmt.Sprintf("process %d on ", cmd.Process.Pid)) {
		t.Errorf("%v: want one that names process %d", err, cmd.Process.Pid)
	}
	if err := errors.Join(done(), cmd.Wait()); err != nil {
		t.Fatal(err)
	}
	h, err := Claim(dir)
	if err != nil {
		t.Fatalf("after the other ended: %v", err)
	}
	if err := h.Release(); err != nil {
		t.Error(err)
	}
}

func TestKilledRunBlocksNobody(t *testing.T) {
	dir := t.TempDir()
	cmd, _ := holdElsewhere(t, dir)
	if err := cmd.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	if err := cmd.Wait(); err == nil {
		t.Fatal("killed, and it ended well")
	}
	h, err := Claim(dir)
	if err != nil {
		t.Fatal(err)
	}
	if err := h.Release(); err != nil {
		t.Error(err)
	}
}

func TestClaimNeedsAFolder(t *testing.T) {
	if _, err := Claim(t.TempDir() + "/none"); err == nil {
		t.Error("claimed a folder that is not there")
	}
}
