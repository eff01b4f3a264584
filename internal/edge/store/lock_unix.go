//go:build unix

package store

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"

	"fettle/internal/base/fault"
)

// takeLock makes this process the owner of a directory. The system drops the
// lock when the process ends, however it ends.
func takeLock(dir string) (*os.File, error) {
	f, err := os.OpenFile(filepath.Join(dir, "fettle.lock"), os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, broken("store.open", err, "dir", dir)
	}
	switch err := syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB); {
	case errors.Is(err, syscall.EWOULDBLOCK):
		owner, _ := io.ReadAll(io.LimitReader(f, 32)) // a hint only
		f.Close()
		return nil, fault.New(fault.Conflict, "store.in-use", "dir", dir, "process", strings.TrimSpace(string(owner)))
	case err != nil:
		f.Close()
		return nil, broken("store.open", err, "dir", dir)
	}
	err = f.Truncate(0)
	if err == nil {
		_, err = f.WriteAt([]byte(strconv.Itoa(os.Getpid())+"\n"), 0)
	}
	if err != nil {
		f.Close()
		return nil, broken("store.open", err, "dir", dir)
	}
	return f, nil
}
