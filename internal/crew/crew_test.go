package crew

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"
)

// The test binary is its own worker when this is set.
const workerEnv = "ROWLIGHT_TEST_CREW"

const hello = "test 1"

func TestMain(m *testing.M) {
	switch os.Getenv(workerEnv) {
	case "":
		os.Exit(m.Run())
	case "falls":
		os.Exit(7)
	case "other":
		_ = Serve(os.Stdin, os.Stdout, "test 2", work)
	case "garbage":
		fmt.Println("[ WARN:0] this is no answer")
		time.Sleep(time.Minute)
	case "parent":
		parent()
	default:
		if err := Serve(os.Stdin, os.Stdout, hello, work); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
	}
}

// work does as it is told. What it is told to do once leaves a mark in a file.
func work(m Message) Message {
	var do string
	if err := json.Unmarshal(m.Words, &do); err != nil {
		panic(err)
	}
	do, file, _ := strings.Cut(do, " ")
	if file != "" {
		if _, err := os.Stat(file); err == nil {
			do = "echo"
		} else if err := os.WriteFile(file, nil, 0o600); err != nil {
			panic(err)
		}
	}
	switch do {
	case "segv":
		kill(syscall.SIGSEGV)
	case "abort":
		kill(syscall.SIGABRT)
	case "kill":
		kill(syscall.SIGKILL)
	case "panic":
		panic("as asked")
	case "exit":
		os.Exit(3)
	case "hang":
		select {}
	case "chatter":
		fmt.Println("a library says something")
	case "pid":
		m.Words, _ = json.Marshal(strconv.Itoa(os.Getpid()))
	}
	return m
}

func kill(s syscall.Signal) {
	if err := syscall.Kill(os.Getpid(), s); err != nil {
		panic(err)
	}
	select {}
}

// as starts the test binary in a role.
func as(t *testing.T, role string) []string {
	t.Helper()
	t.Setenv(workerEnv, role)
	return []string{os.Args[0], os.Args[0]}
}

func newCrew(t *testing.T, limit time.Duration) *Crew {
	t.Helper()
	c := New(as(t, "worker"), hello, limit)
	t.Cleanup(func() {
		if err := c.Close(); err != nil {
			t.Error(err)
		}
	})
	return c
}

// ample is far longer than anything here takes on a loaded machine.
const ample = time.Minute

func say(s string) Message {
	words, _ := json.Marshal(s) // a string always marshals
	return Message{Words: words}
}

func mustDo(t *testing.T, c *Crew, s string) string {
	t.Helper()
	m, err := c.Do(t.Context(), say(s))
	if err != nil {
		t.Fatal(err)
	}
	var out string
	if err := json.Unmarshal(m.Words, &out); err != nil {
		t.Fatal(err)
	}
	return out
}

func TestWordsAndBytesComeBackAsTheyWere(t *testing.T) {
	c := newCrew(t, ample)
	big := bytes.Repeat([]byte("\n{}\x00"), 3<<20)
	want := Message{Words: json.RawMessage(`"echo"`), Pieces: [][]byte{big, {}, []byte("x")}}
	for range 3 {
		got, err := c.Do(t.Context(), want)
		if err != nil {
			t.Fatal(err)
		}
		if string(got.Words) != string(want.Words) || len(got.Pieces) != 3 || !bytes.Equal(got.Pieces[0], big) || len(got.Pieces[1]) != 0 || string(got.Pieces[2]) != "x" {
			t.Fatal("another message came back")
		}
	}
}

func TestOneWorkerDoesOneAfterAnother(t *testing.T) {
	c := newCrew(t, ample)
	if a, b := mustDo(t, c, "pid"), mustDo(t, c, "pid"); a != b || a == strconv.Itoa(os.Getpid()) {
		t.Errorf("asked %s, then %s: want one process, not this one (%d)", a, b, os.Getpid())
	}
}

func TestWhatBringsAProcessDownIsSaidAndTheNextWorkIsDone(t *testing.T) {
	for do, want := range map[string]Lost{
		"segv": {Crashed, "SIGSEGV"}, "abort": {Crashed, "SIGABRT"}, "exit": {Crashed, "exit status 3"},
		"panic": {Crashed, "exit status 2"}, "kill": {NoMemory, "killed from outside"}, "chatter": {Crashed, "its answer could not be read"},
	} {
		t.Run(do, func(t *testing.T) {
			c := newCrew(t, ample)
			before := mustDo(t, c, "pid")
			_, err := c.Do(t.Context(), say(do))
			var lost *Lost
			if !errors.As(err, &lost) || *lost != want {
				t.Errorf("error %v, want %+v", err, want)
			}
			if after := mustDo(t, c, "pid"); after == before {
				t.Error("the process that fell answers")
			}
		})
	}
}

func TestAFaultThatDoesNotComeBackIsForgiven(t *testing.T) {
	c := newCrew(t, ample)
	mark := filepath.Join(t.TempDir(), "done")
	if got := mustDo(t, c, "segv "+mark); got != "segv "+mark {
		t.Errorf("answer %q", got)
	}
}

func TestAHangIsEndedAndNotTriedAgain(t *testing.T) {
	c := newCrew(t, ample)
	mustDo(t, c, "echo")          // with its process there, the limit is the work's alone
	c.limit = 3 * time.Second / 2 // rounded up to whole ticks
	begun := time.Now()
	_, err := c.Do(t.Context(), say("hang"))
	var lost *Lost
	if !errors.As(err, &lost) || lost.How != TimedOut {
		t.Errorf("error %v, want that its time was up", err)
	}
	if took := time.Since(begun); took < c.limit || took > 2*c.limit+ample/2 {
		t.Errorf("took %v under a limit of %v", took, c.limit)
	}
	c.limit = ample
	mustDo(t, c, "echo")
}

func TestTheEndOfTheContextEndsTheWork(t *testing.T) {
	c := newCrew(t, ample)
	ctx, cancel := context.WithCancel(t.Context())
	time.AfterFunc(100*time.Millisecond, cancel)
	if _, err := c.Do(ctx, say("hang")); !errors.Is(err, context.Canceled) {
		t.Errorf("error %v, want context.Canceled", err)
	}
}

func TestWorkersThatCannotBegin(t *testing.T) {
	for role, says := range map[string]string{"falls": "exit status 7", "other": "run it again", "garbage": "could not be read"} {
		t.Run(role, func(t *testing.T) {
			c := New(as(t, role), hello, ample)
			_, err := c.Do(t.Context(), say("echo"))
			var lost *Lost
			if err == nil || !strings.Contains(err.Error(), says) || errors.As(err, &lost) {
				t.Errorf("error %v, want %q in it", err, says)
			}
		})
	}
	if _, err := New([]string{"/no/such/program", "x"}, hello, ample).Do(t.Context(), say("echo")); err == nil {
		t.Error("a program that is not there was started")
	}
}

func TestManyAtOnceWithFaultsBetween(t *testing.T) {
	c := newCrew(t, ample)
	var wg sync.WaitGroup
	for i := range 24 {
		wg.Go(func() {
			do := []string{"echo", "segv", "kill"}[i%3]
			_, err := c.Do(t.Context(), say(do))
			if (err == nil) != (do == "echo") {
				t.Errorf("%s: %v", do, err)
			}
		})
	}
	wg.Wait()
}
