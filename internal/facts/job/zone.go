package job

import (
	"strconv"
	"strings"
)

// The zones of a drawing, after ISO 5457: letters down, figures across. I is
// left out there, and six rows do not reach it.
const (
	ZoneRows    = "ABCDEF"
	ZoneColumns = 8
)

// Zone reads a zone such as C5 as the point in its middle: parts of the
// drawing's width and height.
func Zone(text string) (x, y string, ok bool) {
	text = strings.ToUpper(strings.TrimSpace(text))
	if len(text) != 2 {
		return "", "", false
	}
	row, col := strings.IndexByte(ZoneRows, text[0]), int(text[1]-'1')
	if row < 0 || col < 0 || col >= ZoneColumns {
		return "", "", false
	}
	part := func(i, n int) string {
		return strconv.FormatFloat(float64(2*i+1)/float64(2*n), 'f', 4, 64)
	}
	return part(col, ZoneColumns), part(row, len(ZoneRows)), true
}
