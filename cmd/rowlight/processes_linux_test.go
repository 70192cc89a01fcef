package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"syscall"
	"testing"
	"time"
)

// runMarkEnv marks the processes of one test, workers too.
const runMarkEnv = "ROWLIGHT_TEST_RUN_OF"

// killable is a run whose processes can be found.
func killable(dir string, workers int) *exec.Cmd {
	cmd := exec.Command("rowlight", "assess", "--workers", strconv.Itoa(workers), dir)
	cmd.Env = append(os.Environ(), runMarkEnv+"="+dir)
	return cmd
}

// noneLeft waits for a run's processes to be gone.
func noneLeft(t *testing.T, dir string) {
	t.Helper()
	for end := time.Now().Add(time.Minute); ; time.Sleep(10 * time.Millisecond) {
		pids := processesOf(t, dir)
		if len(pids) == 0 {
			return
		}
		if time.Now().After(end) {
			for _, pid := range pids {
				_ = syscall.Kill(pid, syscall.SIGKILL)
			}
			t.Fatalf("processes %v outlived their run", pids)
		}
	}
}

// processesOf are those that run over a folder, zombies not among them.
func processesOf(t *testing.T, dir string) []int {
	t.Helper()
	envs, err := filepath.Glob("/proc/[0-9]*/environ")
	if err != nil {
		t.Fatal(err)
	}
	var out []int
	for _, name := range envs {
		env, err := os.ReadFile(name) // of others, or gone: not ours
		if err != nil || !bytes.Contains(env, []byte(runMarkEnv+"="+dir+"\x00")) {
			continue
		}
		if pid, err := strconv.Atoi(filepath.Base(filepath.Dir(name))); err == nil {
			out = append(out, pid)
		}
	}
	return out
}
