package store

import (
	"context"
	"database/sql"
	"strconv"
	"strings"

	"fettle/internal/base/fault"
)

// checkLibrary refuses a version of SQLite that can lose committed pages.
func checkLibrary(ctx context.Context, db *sql.DB) error {
	var version string
	if err := db.QueryRowContext(ctx, "SELECT sqlite_version()").Scan(&version); err != nil {
		return broken("store.read", err)
	}
	if !sound(version) {
		return fault.New(fault.Refused, "store.library", "version", version)
	}
	return nil
}

// sound reports whether a version is free of the race between a write and a
// reset of the journal: it came with 3.7.0, was mended in 3.51.3, and in 3.44.6
// and 3.50.7 of the older lines; 3.52.0 was withdrawn. Source: release notes of
// SQLite 3.51.3.
func sound(version string) bool {
	var n [3]int
	parts := strings.Split(version, ".")
	if len(parts) < 2 || len(parts) > 4 {
		return false
	}
	for i, p := range parts[:min(len(parts), 3)] {
		v, err := strconv.Atoi(p)
		if err != nil {
			return false
		}
		n[i] = v
	}
	switch {
	case n[0] != 3:
		return false
	case n[1] == 44:
		return n[2] >= 6
	case n[1] == 50:
		return n[2] >= 7
	case n[1] == 51:
		return n[2] >= 3
	}
	return n[1] > 52 || n[1] == 52 && n[2] > 0
}
