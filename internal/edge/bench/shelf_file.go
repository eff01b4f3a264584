package bench

import (
	"bytes"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"

	"fettle/internal/base/fault"
	"fettle/internal/facts/stocklist"
)

// mostInflated bounds what a workbook may grow to when it is unpacked. It never
// goes to the disk: the bound for one table is the same as for all.
const mostInflated = 64 << 20

// ReadShelf reads a file of a shelf, text or workbook, into rows.
//
// Errors: what keeps it from being read at all, with line and column.
func ReadShelf(name string, b []byte) (rows []stocklist.Row, mark byte, err error) {
	if !bytes.HasPrefix(b, []byte("PK\x03\x04")) {
		rows, mark, faults := stocklist.CSV(name, b)
		return rows, mark, faults.OrNil()
	}
	if len(b) > stocklist.MostBytes {
		return nil, '.', fault.List{fault.New(fault.TooLarge, "shelf.too-large", "most", strconv.Itoa(stocklist.MostBytes>>20)+" MiB").At(name, 1, 1)}
	}
	cells, err := workbook(b)
	if err != nil {
		return nil, '.', fault.List{fault.New(fault.Invalid, "shelf.not-xlsx", "error", cut(err.Error())).At(name, 1, 1)}
	}
	rows, faults := stocklist.Table(name, cells)
	return rows, '.', faults.OrNil()
}

// workbook reads the values of the first table; what is computed in it counts
// with the value that was last computed.
func workbook(b []byte) (cells [][]string, err error) {
	f, err := excelize.OpenReader(bytes.NewReader(b), excelize.Options{UnzipSizeLimit: mostInflated, UnzipXMLSizeLimit: mostInflated, RawCellValue: true})
	if err != nil {
		return nil, err
	}
	defer f.Close()
	rows, err := f.Rows(f.GetSheetName(0))
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() && len(cells) < stocklist.MostRows+2 {
		list, err := rows.Columns()
		if err != nil {
			return nil, err
		}
		for i := range list {
			list[i] = decimalText(list[i])
		}
		cells = append(cells, list)
	}
	return cells, rows.Error()
}

// decimalText is a number of a workbook as a person wrote it. Workbooks keep
// numbers in binary; fifteen digits bring back what was typed.
func decimalText(s string) string {
	if !strings.ContainsAny(s, "eE") && len(s) <= 15 {
		return s
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || strings.Trim(s, "0123456789.eE+-") != "" {
		return s
	}
	if v, err = strconv.ParseFloat(strconv.FormatFloat(v, 'g', 15, 64), 64); err != nil {
		return s
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}
