package bench

import (
	"bytes"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/xuri/excelize/v2"

	"fettle/internal/facts/stocklist"
)

// book writes the rows of a text as a workbook, numbers as numbers.
func book(t *testing.T, rows []stocklist.Row) []byte {
	t.Helper()
	f := excelize.NewFile()
	defer f.Close()
	put := func(x, y int, v any) {
		cell, err := excelize.CoordinatesToCellName(x, y)
		if err == nil {
			err = f.SetCellValue("Sheet1", cell, v)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	for i, c := range stocklist.Columns() {
		put(i+1, 1, c)
		for k, r := range rows {
			switch v := r.Cells[c]; {
			case v == "2.481":
				put(i+1, k+2, 2.481)
			case v == "2.43":
				put(i+1, k+2, 0.81*3) // 2.4300000000000002 in binary
			case v != "":
				put(i+1, k+2, v)
			}
		}
	}
	var b bytes.Buffer
	if err := f.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// Law: a workbook says what the text says, digit for digit. Synthetic.
func TestWorkbookIsText(t *testing.T) {
	rows, mark, err := ReadShelf("shelf.csv", []byte(shelfText))
	if err != nil {
		t.Fatal(err)
	}
	got, _, err := ReadShelf("shelf.xlsx", book(t, rows))
	if err != nil {
		t.Fatal(err)
	}
	want, faults := stocklist.Read("", rows, mark)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	have, faults := stocklist.Read("", got, '.')
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	for i := range want {
		want[i].Line = 0
	}
	for i := range have {
		have[i].Line = 0
	}
	if d := cmp.Diff(want, have); d != "" {
		t.Error(d)
	}
}

// Law: what is no workbook, or one that is too large, is refused and nothing
// else. Synthetic.
func TestWorkbookRefused(t *testing.T) {
	if _, _, err := ReadShelf("x.xlsx", []byte("PK\x03\x04 and then nothing")); wrongAt(err) != " shelf.not-xlsx" {
		t.Errorf("%v", err)
	}
	big := append([]byte("PK\x03\x04"), bytes.Repeat([]byte("x"), stocklist.MostBytes)...)
	if _, _, err := ReadShelf("x.xlsx", big); wrongAt(err) != " shelf.too-large" {
		t.Errorf("%v", err)
	}
	if _, _, err := ReadShelf("x.csv", []byte(strings.Repeat("x", stocklist.MostBytes+1))); wrongAt(err) != " shelf.too-large" {
		t.Errorf("%v", err)
	}
}
