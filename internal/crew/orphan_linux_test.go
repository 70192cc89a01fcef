package crew

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"
)

// parent is a process with a worker that hangs in its work; it says the worker's
// number first.
func parent() {
	if err := os.Setenv(workerEnv, "worker"); err != nil {
		panic(err)
	}
	c := New([]string{os.Args[0], os.Args[0]}, hello, time.Hour)
	m, err := c.Do(context.Background(), say("pid"))
	fmt.Println(strings.Trim(string(m.Words), `"`), err)
	_, err = c.Do(context.Background(), say("hang"))
	fmt.Println(err)
}

// A worker whose parent is killed ends, though it is in the middle of its work.
func TestAKilledParentLeavesNoWorker(t *testing.T) {
	as(t, "parent")
	cmd := exec.Command(os.Args[0])
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	line, err := bufio.NewReader(out).ReadString('\n')
	if err != nil {
		t.Fatal(err)
	}
	pid, err := strconv.Atoi(strings.Fields(line)[0])
	if err != nil {
		t.Fatal(line, err)
	}
	time.Sleep(200 * time.Millisecond) // well into its work
	if !alive(pid) {
		t.Fatal("the worker is gone before its parent: this shows nothing")
	}
	if err := cmd.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	_ = cmd.Wait() // killed, as it should be
	for end := time.Now().Add(ample); alive(pid); time.Sleep(20 * time.Millisecond) {
		if time.Now().After(end) {
			_ = syscall.Kill(pid, syscall.SIGKILL)
			t.Fatal("the worker outlived its parent")
		}
	}
}

// alive tells whether a process is there and no zombie that nobody has waited for.
func alive(pid int) bool {
	if err := syscall.Kill(pid, 0); errors.Is(err, syscall.ESRCH) {
		return false
	}
	stat, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", pid))
	return err == nil && !strings.Contains(string(stat), ") Z ")
}
