package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
)

// treeMiB is the resident memory of a process and its descendants now (proc(5): the
// second number of statm, in pages). One that has ended counts nothing.
func treeMiB(pid int) float64 {
	const miB = 1 << 20
	sum := 0.0
	if data, err := os.ReadFile(fmt.Sprintf("/proc/%d/statm", pid)); err == nil {
		if words := strings.Fields(string(data)); len(words) > 1 {
			pages, _ := strconv.ParseFloat(words[1], 64) // the kernel writes numbers
			sum = pages * float64(os.Getpagesize()) / miB
		}
	}
	for _, child := range children(pid) {
		sum += treeMiB(child)
	}
	return sum
}

// children are those of all threads of a process.
func children(pid int) []int {
	lists, _ := filepath.Glob(fmt.Sprintf("/proc/%d/task/*/children", pid)) // the pattern is sound
	var out []int
	for _, list := range lists {
		data, err := os.ReadFile(list)
		if err != nil {
			continue // the thread has ended
		}
		for _, word := range strings.Fields(string(data)) {
			if n, err := strconv.Atoi(word); err == nil {
				out = append(out, n)
			}
		}
	}
	return out
}

// freeBytes is the room on a folder's disk.
func freeBytes(dir string) (int64, bool) {
	var s syscall.Statfs_t
	if err := syscall.Statfs(dir, &s); err != nil {
		return 0, false
	}
	return int64(s.Bavail) * s.Bsize, true
}

// machine names the processor and how busy it has been for a minute.
func machine() (processor string, load float64) {
	if data, err := os.ReadFile("/proc/cpuinfo"); err == nil {
		for line := range strings.Lines(string(data)) {
			if name, ok := strings.CutPrefix(line, "model name"); ok {
				processor = strings.TrimSpace(strings.TrimLeft(name, "\t :"))
				break
			}
		}
	}
	if data, err := os.ReadFile("/proc/loadavg"); err == nil {
		if words := strings.Fields(string(data)); len(words) > 0 {
			load, _ = strconv.ParseFloat(words[0], 64) // the kernel writes numbers
		}
	}
	return processor, load
}
