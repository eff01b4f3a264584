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

// Spot reads the point of an indication; ok is false where it has none.
func Spot(x, y string) (px, py float64, ok bool) {
	px, errX := strconv.ParseFloat(x, 64)
	py, errY := strconv.ParseFloat(y, 64)
	return px, py, errX == nil && errY == nil && px >= 0 && px <= 1 && py >= 0 && py <= 1
}

// ZoneOf is the zone that a point lies in, "" where there is no point.
func ZoneOf(x, y string) string {
	px, py, ok := Spot(x, y)
	if !ok {
		return ""
	}
	col, row := min(int(px*ZoneColumns), ZoneColumns-1), min(int(py*float64(len(ZoneRows))), len(ZoneRows)-1)
	return ZoneRows[row:row+1] + strconv.Itoa(col+1)
}
