package crew

import "syscall"

// pipeBytes hold a good part of a photo's file, so that parent and worker wake each other
// seldom; the kernel allows as much to every user (fs.pipe-max-size).
const pipeBytes = 1 << 20

// setPipeSize is F_SETPIPE_SZ (fcntl(2)).
const setPipeSize = 1031

// widen gives a pipe more room. Where the kernel will not, it stays as it is.
func widen(pipe any) {
	p, ok := pipe.(syscall.Conn)
	if !ok {
		return
	}
	if raw, err := p.SyscallConn(); err == nil {
		raw.Control(func(fd uintptr) { syscall.Syscall(syscall.SYS_FCNTL, fd, setPipeSize, pipeBytes) })
	}
}
