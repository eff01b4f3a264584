//go:build !unix

package store

import (
	"os"
	"path/filepath"
)

// takeLock has no lock to take on this system; SQLite's own locks still keep
// two processes from writing at the same time.
func takeLock(dir string) (*os.File, error) {
	f, err := os.OpenFile(filepath.Join(dir, "fettle.lock"), os.O_RDWR|os.O_CREATE, 0o600)
	if err != nil {
		return nil, broken("store.open", err, "dir", dir)
	}
	return f, nil
}
