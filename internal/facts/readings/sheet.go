// Package readings is the file format readings.csv: what was read at the bench,
// as a table that a person, a spreadsheet and another program can write. What
// the file cannot say for sure it must declare: delimiter and decimal mark are
// never guessed. doc/format/readings.md explains each field.
package readings

import (
	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
)

// Bounds of one file. Whoever reads a file from outside stops at MostBytes + 1.
const (
	MostBytes  = 64 << 20
	MostRows   = 200_000
	mostLine   = 64 << 10 // bytes in one record
	mostFaults = 200      // listed one by one
)

// firstLine names the format and its version.
const firstLine = "# fettle readings 1"

// The names of delimiters and decimal marks as they are declared.
const (
	Comma     = "comma"
	Semicolon = "semicolon"
	Tab       = "tab"
	Point     = "point"
)

// The columns in their order.
const (
	colPosition = iota
	colState
	colValue
	colUnit
	colGauge
	colMaster
	colPartTemp
	colGaugeTemp
	colCondition
	colPerson
	colTime
	colNote
	columns
)

func header() []string {
	return []string{"position", "state", "value", "unit", "gauge", "master", "part_temp", "gauge_temp", "condition",
		"person", "time", "note"}
}

// Sheet is one file of readings.
type Sheet struct {
	Job       string // id, may be empty
	Title     string
	Notes     []string // remarks that stand above the table
	Delimiter string   // comma, semicolon or tab; "" writes as comma
	Decimal   string   // point or comma; "" writes as point
	People    []shop.PersonV1
	Gauges    []shop.GaugeV1
	Readings  []Row
}

// Row is one reading.
type Row struct {
	job.ReadingV1
	Person string // id, "" where it was not recorded
	Time   int64  // µs since 1970 UTC, 0 where it was not recorded
	Line   int    // in the file it was read from, 0 for one that was not
}

// delimiterOf returns the byte behind a declared name.
func delimiterOf(name string) (byte, bool) {
	switch name {
	case Comma:
		return ',', true
	case Semicolon:
		return ';', true
	case Tab:
		return '\t', true
	}
	return 0, false
}

// markOf returns the decimal mark behind a declared name.
func markOf(name string) (byte, bool) {
	switch name {
	case Point:
		return '.', true
	case Comma:
		return ',', true
	}
	return 0, false
}

// plainID reports whether s can name a job, a person or a gauge.
func plainID(s string) bool {
	if s == "" || len(s) > 64 {
		return false
	}
	for _, c := range s {
		if !(c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '-' || c == '_' || c == '.') {
			return false
		}
	}
	return true
}
