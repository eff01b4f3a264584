// Package stocklist is the file format shelf: suppliers, prices, lots and what their
// pieces measure, as one table that a person, a spreadsheet and another program
// can write. A form of a page is one row of it. doc/format/stock.md explains
// each field.
package stocklist

import (
	"encoding/csv"
	"errors"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"fettle/internal/base/fault"
)

// Bounds of one file.
const (
	MostBytes  = 8 << 20
	MostRows   = 20_000
	mostCell   = 500 // characters
	mostFaults = 200 // listed one by one
)

// FirstLine names the format and its version; a table of a spreadsheet has none.
const FirstLine = "# fettle shelf 1"

// Columns lists the columns. They may stand in any order, and those that are not
// needed may be missing.
func Columns() []string {
	return []string{"row", "lot", "kind", "family", "class", "role", "step", "size", "count", "piece", "measure", "value", "min", "max", "unit",
		"gauge", "master", "part_temp", "supplier", "name", "price", "days_low", "days_high", "have", "number", "job", "customers", "place", "note"}
}

// Row is one row: what stands in its columns, without those that are empty.
type Row struct {
	Line  int // of the file, or of the table; 0 of a form
	Cells map[string]string
}

// CSV reads a file of text into rows. The decimal mark is the one declared, a
// point where nothing is.
func CSV(name string, text []byte) (rows []Row, mark byte, faults fault.List) {
	top := func(key string, pairs ...string) ([]Row, byte, fault.List) {
		return nil, '.', fault.List{fault.New(fault.Invalid, key, pairs...).At(name, 1, 1)}
	}
	if len(text) > MostBytes {
		return top("shelf.too-large", "most", strconv.Itoa(MostBytes>>20)+" MiB")
	}
	if !utf8.Valid(text) {
		return top("shelf.not-text")
	}
	s := strings.TrimPrefix(string(text), "\ufeff")
	first, rest, _ := strings.Cut(s, "\n")
	if strings.TrimRight(first, "\r ;,\t") != FirstLine {
		return top("shelf.first-line", "expected", FirstLine)
	}
	line, delimiter := 1, ','
	mark = '.'
	for strings.HasPrefix(rest, "#") {
		var said string
		said, rest, _ = strings.Cut(rest, "\n")
		line++
		word, value, _ := strings.Cut(strings.TrimRight(strings.TrimPrefix(said, "#"), "\r;,\t "), ":")
		switch word, value = strings.TrimSpace(word), strings.TrimSpace(value); word + " " + value {
		case "delimiter comma", "decimal point":
		case "delimiter semicolon":
			delimiter = ';'
		case "delimiter tab":
			delimiter = '\t'
		case "decimal comma":
			mark = ','
		default:
			if word == "delimiter" || word == "decimal" {
				faults = append(faults, fault.New(fault.Invalid, "shelf.declared", "found", clip(value), "what", word).At(name, line, 1))
			}
		}
	}
	r := csv.NewReader(strings.NewReader(rest))
	r.Comma, r.FieldsPerRecord, r.ReuseRecord = delimiter, -1, false
	var cells [][]string
	var lines []int
	for {
		rec, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if p := (*csv.ParseError)(nil); errors.As(err, &p) {
			return nil, mark, append(faults, fault.New(fault.Invalid, "shelf.quotes").At(name, line+p.Line, max(1, p.Column)))
		}
		at, _ := r.FieldPos(0)
		cells, lines = append(cells, rec), append(lines, line+at)
		if len(cells) > MostRows+1 {
			break
		}
	}
	rows, more := table(name, cells, lines)
	return rows, mark, append(faults, more...)
}

// Table reads the cells of a spreadsheet into rows; the first row is the header.
func Table(name string, cells [][]string) ([]Row, fault.List) {
	lines := make([]int, len(cells))
	for i := range lines {
		lines[i] = i + 1
	}
	return table(name, cells, lines)
}

func table(name string, cells [][]string, lines []int) (rows []Row, faults fault.List) {
	for len(cells) > 0 && blank(cells[0]) {
		cells, lines = cells[1:], lines[1:]
	}
	if len(cells) < 2 {
		return nil, fault.List{fault.New(fault.Invalid, "shelf.empty").At(name, 1, 1)}
	}
	if len(cells) > MostRows+1 {
		return nil, fault.List{fault.New(fault.TooLarge, "shelf.too-many", "most", strconv.Itoa(MostRows)).At(name, 1, 1)}
	}
	header := make([]string, len(cells[0]))
	for i, c := range cells[0] {
		c = strings.ToLower(strings.TrimSpace(c))
		switch {
		case c == "":
		case !slices.Contains(Columns(), c):
			faults = append(faults, fault.New(fault.Invalid, "shelf.column", "found", clip(c)).At(name, lines[0], i+1))
		case slices.Contains(header, c):
			faults = append(faults, fault.New(fault.Invalid, "shelf.column-twice", "found", c).At(name, lines[0], i+1))
		default:
			header[i] = c
		}
	}
	if !slices.Contains(header, "row") {
		faults = append(faults, fault.New(fault.Invalid, "shelf.no-row-column").At(name, lines[0], 1))
	}
	for k, rec := range cells[1:] {
		if blank(rec) {
			continue
		}
		r := Row{lines[k+1], map[string]string{}}
		for i, c := range rec {
			c = strings.TrimSpace(c)
			switch {
			case c == "":
			case utf8.RuneCountInString(c) > mostCell:
				faults = append(faults, fault.New(fault.TooLarge, "shelf.cell", "most", strconv.Itoa(mostCell)).At(name, r.Line, i+1))
			case i >= len(header) || header[i] == "":
				faults = append(faults, fault.New(fault.Invalid, "shelf.no-header", "found", clip(c)).At(name, r.Line, i+1))
			default:
				r.Cells[header[i]] = c
			}
		}
		rows = append(rows, r)
	}
	return rows, faults
}

func blank(rec []string) bool {
	return !slices.ContainsFunc(rec, func(c string) bool { return strings.TrimSpace(c) != "" })
}

func clip(s string) string {
	r := []rune(s)
	return string(r[:min(len(r), 40)])
}
