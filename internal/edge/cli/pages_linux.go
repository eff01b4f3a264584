package cli

import (
	"runtime"
	"runtime/debug"

	"golang.org/x/sys/unix"
)

// stretch is what an evaluation of the demo uses, and a little more.
const stretch = 192 << 20

// largePages asks the system to back the memory that a short run is about to
// use with large pages, where it leaves that to programs: one fault for 2 MB
// instead of one for 4 kB. It takes a stretch of heap, marks it, and gives it
// back to the heap unused. Where the system has none, nothing changes.
func largePages(bytes int) {
	room := make([]byte, bytes)
	_ = unix.Madvise(room, unix.MADV_HUGEPAGE) // a wish, not a need
	room = nil
	old := debug.SetGCPercent(100)
	runtime.GC()
	debug.SetGCPercent(old)
}
