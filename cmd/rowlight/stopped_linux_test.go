package main

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// sixGood are photos that take a moment each.
func sixGood(t *testing.T) []badPhoto {
	t.Helper()
	var out []badPhoto
	for i, stem := range []string{"practice_floor_00", "practice_c_floor_10", "practice_side_02", "practice_floor_04", "practice_c_floor_03", "practice_side_00"} {
		kind := "floor"
		if strings.Contains(stem, "side") {
			kind = "side"
		}
		out = append(out, badPhoto{name: fmt.Sprintf("b1-r01-t%02d-%s.jpg", i+1, kind), data: rendered(t, stem)})
	}
	return out
}

// A real process is stopped after its first photo, by Ctrl-C and by kill -9: the
// database is sound, and the next run goes on where it stopped.
func TestStoppedRunGoesOn(t *testing.T) {
	if testing.Short() {
		t.Skip("measures photos in a process of its own")
	}
	for _, tc := range []struct {
		name   string
		signal syscall.Signal
		group  bool // to all its processes, as a terminal does
		status int
		says   string
	}{
		{"Ctrl-C", syscall.SIGINT, true, exitInterrupted, "run it again to go on"},
		{"asked to end", syscall.SIGTERM, false, exitInterrupted, "run it again to go on"},
		{"kill -9", syscall.SIGKILL, false, -1, ""},
	} {
		t.Run(tc.name, func(t *testing.T) {
			dir := layOrchard(t, sixGood(t))
			cmd := killable(dir, 1)
			cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true}
			code, said := afterFirstPhoto(t, cmd, func() error {
				if tc.group {
					return syscall.Kill(-cmd.Process.Pid, tc.signal)
				}
				return cmd.Process.Signal(tc.signal)
			})
			noneLeft(t, dir)
			if code != tc.status || !strings.Contains(said, tc.says) {
				t.Errorf("exit status %d, want %d; it said %q, want %q in it", code, tc.status, said, tc.says)
			}
			if strings.Contains(said, "6 of 6") {
				t.Fatal("the run ended before it was stopped: this shows nothing")
			}
			soundDatabase(t, dir)
			if _, err := os.Stat(filepath.Join(dir, "results", testVisit, "report.html")); err == nil {
				t.Error("a run that was stopped left a report behind")
			}
			code, stdout, stderr := inProcess(t, "assess", dir)
			if code != exitOK {
				t.Errorf("the next run: exit status %d\n%s", code, stderr)
			}
			if strings.Contains(stdout, " 0 photos kept from before") || !strings.Contains(stdout, "kept from before, 0 photos without a number") {
				t.Errorf("the next run kept nothing, or lost something:\n%s", stdout)
			}
			soundDatabase(t, dir)
		})
	}
}

// afterFirstPhoto starts a run, does something once it has said that the first photo
// is done, and returns its exit status and what it said.
func afterFirstPhoto(t *testing.T, cmd *exec.Cmd, do func() error) (int, string) {
	t.Helper()
	errs, err := cmd.StderrPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	var said strings.Builder
	lines := bufio.NewScanner(errs)
	for lines.Scan() {
		fmt.Fprintln(&said, lines.Text())
		if strings.HasPrefix(lines.Text(), "1 of ") {
			if err := do(); err != nil {
				t.Error(err)
			}
		}
	}
	_ = cmd.Wait() // its status is looked at
	return cmd.ProcessState.ExitCode(), said.String()
}

// A second run in a folder is told who is at work there; a worker that falls is
// started again; a run that was killed blocks nobody.
func TestOneRunAtATimeAndAWorkerThatFalls(t *testing.T) {
	if testing.Short() {
		t.Skip("measures photos in processes of their own")
	}
	dir := layOrchard(t, sixGood(t))
	cmd := killable(dir, 1)
	code, said := afterFirstPhoto(t, cmd, func() error {
		code, _, stderr := inProcess(t, "assess", dir)
		if want := fmt.Sprintf("process %d on ", cmd.Process.Pid); code != exitCannotRun || !strings.Contains(stderr, want) || !strings.Contains(stderr, "wait until it is done") {
			t.Errorf("the second run: exit status %d, %q; want %d and %q", code, stderr, exitCannotRun, want)
		}
		felled := 0
		for _, pid := range processesOf(t, dir) {
			if pid != cmd.Process.Pid {
				felled++
				if err := syscall.Kill(pid, syscall.SIGSEGV); err != nil {
					return err
				}
			}
		}
		if felled != 1 {
			t.Errorf("%d workers at work, want 1", felled)
		}
		return nil
	})
	if code != exitOK || !strings.Contains(said, "6 of 6 photos") {
		t.Errorf("the run whose worker fell: exit status %d\n%s", code, said)
	}
	noneLeft(t, dir)
	if code, stdout, stderr := inProcess(t, "assess", dir); code != exitOK || !strings.Contains(stdout, "0 photos measured now, 6 photos kept from before, 0 photos without a number") {
		t.Errorf("the run after it: exit status %d\n%s%s", code, stdout, stderr)
	}
}

// On a disk that only reads, nothing is measured in vain.
func TestReadOnlyDiskIsSaid(t *testing.T) {
	dir := layOrchard(t, []badPhoto{{name: "b1-r01-t01-floor.jpg", data: []byte("no photo")}})
	const readOnly = `mount --bind "$1" "$1" && mount -o remount,bind,ro "$1" || exit 77
rowlight assess "$1" 2>&1
exit 76`
	out, err := inNamespace(readOnly, dir).CombinedOutput()
	if killableStatus(err) != 76 {
		t.Skipf("SKIPPED: no disk can be made read-only here: %v\n%s", err, out)
	}
	if said := string(out); !strings.Contains(said, "read-only") || !strings.Contains(said, "results") || !strings.Contains(said, "copy the orchard folder") {
		t.Errorf("it says %q, want the place and the mend", said)
	}
}

// inNamespace is a shell that may lay disks over folders which only it sees.
func inNamespace(script string, args ...string) *exec.Cmd {
	all := append([]string{"--mount", "sh", "-c", script, "sh"}, args...)
	if os.Getuid() != 0 {
		all = append([]string{"--user", "--map-root-user"}, all...)
	}
	return exec.Command("unshare", all...)
}

// inRoom has a shell lay a file system of some size over the results folder, fill
// it by a run, then make room and run again. $1 is the orchard, $2 the size.
const inRoom = `
mount -t tmpfs -o size=$2 tmpfs "$1/results" || exit 77
rowlight assess --workers 1 "$1" 2>"$1/full.txt" >/dev/null
echo $? >"$1/full.status"
cp "$1/results/rowlight.db" "$1/full.db" 2>/dev/null
mount -o remount,size=64m "$1/results" || exit 77
rowlight assess --workers 1 "$1" >"$1/room.txt" 2>&1
echo $? >"$1/room.status"
cp "$1/results/rowlight.db" "$1/room.db"
`

func TestFullDiskIsSaidAndTheNextRunGoesOn(t *testing.T) {
	if testing.Short() {
		t.Skip("measures photos in processes of their own")
	}
	calm := layOrchard(t, sixGood(t))
	if code, _, stderr := inProcess(t, "assess", calm); code != exitOK {
		t.Fatal(code, stderr)
	}
	// Full at the first write; at an overlay, some photos later; when all is measured and
	// the report's last file is written.
	last := fmt.Sprintf("%dk", pagesKiB(t, filepath.Join(calm, "results"))-8)
	for _, size := range []string{"32k", "700k", last} {
		t.Run(size, func(t *testing.T) {
			dir := layOrchard(t, sixGood(t))
			if err := os.Mkdir(filepath.Join(dir, "results"), 0o755); err != nil {
				t.Fatal(err)
			}
			if out, err := inNamespace(inRoom, dir, size).CombinedOutput(); err != nil {
				t.Skipf("SKIPPED: no small file system can be mounted here: %v\n%s", err, out)
			}
			read := func(name string) string { return strings.TrimSpace(string(mustRead(t, filepath.Join(dir, name)))) }
			said := read("full.txt")
			end := said[strings.LastIndex(said, "\n")+1:]
			if read("full.status") != "1" || !strings.Contains(end, "results/") || !strings.Contains(end, "free some room and run again") {
				t.Errorf("on a full disk: status %s, last line %q; want 1, the place and the mend", read("full.status"), end)
			}
			if all := strings.Contains(said, "6 of 6 photos"); all != (size == last) {
				t.Errorf("full when all photos were measured: %v\n%s", all, said)
			}
			if got := read("room.status"); got != "0" || !strings.Contains(read("room.txt"), "0 photos without a number") {
				t.Errorf("with room again: status %s\n%s", got, read("room.txt"))
			}
			for _, db := range []string{"full.db", "room.db"} {
				if _, err := os.Stat(filepath.Join(dir, db)); err == nil {
					soundFile(t, filepath.Join(dir, db))
				} else if db == "room.db" {
					t.Error(err)
				}
			}
		})
	}
}

// pagesKiB is what a folder takes on a file system in memory, but for its own entries.
func pagesKiB(t *testing.T, dir string) int {
	t.Helper()
	const pageKiB = 4
	pages := 0
	err := filepath.WalkDir(dir, func(name string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		info, err := d.Info()
		if err == nil {
			pages += int(info.Size()+pageKiB<<10-1) / (pageKiB << 10)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return pages * pageKiB
}

const nobody = 65534

// asNobody runs rowlight over a folder as a user who may not read everything:
// root gives its rights up for it.
func asNobody(t *testing.T, dir string, shut ...string) (code int, stdout, stderr string) {
	t.Helper()
	exe, err := exec.LookPath("rowlight")
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(exe, "assess", dir)
	if os.Getuid() == 0 {
		exe = filepath.Join(dir, "rowlight")
		openTo(t, dir, exe)
		cmd = exec.Command(exe, "assess", dir)
		cmd.Dir = dir
		cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: nobody, Gid: nobody}}
	}
	for _, name := range shut {
		at := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.Chmod(at, 0); err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { _ = os.Chmod(at, 0o755) })
	}
	var out, errs bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errs
	if err := cmd.Run(); err != nil && cmd.ProcessState == nil {
		t.Skipf("SKIPPED: root's rights cannot be given up: %v", err)
	}
	return cmd.ProcessState.ExitCode(), out.String(), errs.String()
}

// openTo gives a test's folder to nobody and lays a copy of rowlight at exe, which
// anyone may run.
func openTo(t *testing.T, dir, exe string) {
	t.Helper()
	from, err := exec.LookPath("rowlight")
	if err != nil {
		t.Fatal(err)
	}
	err = os.WriteFile(exe, mustRead(t, from), 0o755)
	err = errors.Join(err, filepath.WalkDir(dir, func(p string, _ os.DirEntry, err error) error {
		return errors.Join(err, os.Chown(p, nobody, nobody))
	}))
	for d := filepath.Dir(dir); err == nil && d != os.TempDir() && d != "/"; d = filepath.Dir(d) {
		err = os.Chmod(d, 0o755) // the test's folders are root's own
	}
	if err != nil {
		t.Fatal(err)
	}
}

func TestUnreadableFoldersAreNamed(t *testing.T) {
	good := badPhoto{name: "b1-r01-t01-side.jpg", data: rendered(t, "practice_side_02")}
	inner := "photos/" + testVisit + "/second-card"
	lay := func() string {
		dir := layOrchard(t, []badPhoto{good})
		if err := os.Mkdir(filepath.Join(dir, filepath.FromSlash(inner)), 0o755); err != nil {
			t.Fatal(err)
		}
		return dir
	}
	t.Run("within the visit", func(t *testing.T) {
		dir := lay()
		code, stdout, stderr := asNobody(t, dir, inner)
		if code != exitSomeRefused || !strings.Contains(stderr, inner+": cannot be read (permission denied): check that") {
			t.Errorf("exit status %d, want %d\n%s", code, exitSomeRefused, stderr)
		}
		if !strings.Contains(stdout, "1 photo measured now") {
			t.Errorf("the photo beside it was not measured:\n%s", stdout)
		}
		soundDatabase(t, dir)
	})
	t.Run("one photo", func(t *testing.T) {
		dir := layOrchard(t, []badPhoto{good, {name: "b1-r01-t02-side.jpg", data: good.data}})
		code, stdout, stderr := asNobody(t, dir, "photos/"+testVisit+"/b1-r01-t02-side.jpg")
		if line, named := lineOf(stderr, "b1-r01-t02-side.jpg"); code != exitSomeRefused || !named || !strings.Contains(line, "you may read it") {
			t.Errorf("exit status %d, want %d\n%s", code, exitSomeRefused, stderr)
		}
		if !strings.Contains(stdout, "2 photos measured now, 0 photos kept from before, 1 photo without a number") {
			t.Errorf("the photo beside it was not measured:\n%s", stdout)
		}
	})
	t.Run("no right to write", func(t *testing.T) {
		dir := layOrchard(t, []badPhoto{good})
		if err := os.Chmod(dir, 0o555); err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { _ = os.Chmod(dir, 0o755) })
		if code, _, stderr := asNobody(t, dir); code != exitCannotRun || !strings.Contains(stderr, "results") || !strings.Contains(stderr, "may read and write there") {
			t.Errorf("exit status %d, want %d; stderr %q", code, exitCannotRun, stderr)
		}
	})
	for _, shut := range []string{"photos/" + testVisit, "photos", "results"} {
		t.Run(shut, func(t *testing.T) {
			dir := lay()
			if err := os.MkdirAll(filepath.Join(dir, "results"), 0o755); err != nil {
				t.Fatal(err)
			}
			code, _, stderr := asNobody(t, dir, shut)
			if code != exitCannotRun || !strings.Contains(stderr, filepath.Base(shut)) || !strings.Contains(stderr, "may") {
				t.Errorf("exit status %d, want %d; stderr %q does not name %s and the mend", code, exitCannotRun, stderr, shut)
			}
		})
	}
}
