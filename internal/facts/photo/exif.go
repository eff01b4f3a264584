package photo

import (
	"bytes"
	"encoding/binary"
	"strings"
)

// facts are what a camera wrote beside the picture.
type facts struct {
	orientation int // 1 to 8, as in the EXIF standard; 1 where nothing is said
	taken       string
	located     bool
}

// turned says that width and height change places.
func (f facts) turned() bool { return f.orientation >= 5 }

// exifOf reads what a camera wrote; what cannot be read says nothing.
func exifOf(kind string, b []byte) facts {
	var raw []byte
	switch kind {
	case "image/jpeg":
		raw = inJPEG(b)
	case "image/png":
		raw = inPNG(b)
	case "image/webp":
		raw = inWebP(b)
	}
	f := readExif(raw)
	// The same may stand in a packet of XMP.
	f.located = f.located || bytes.Contains(b, []byte("exif:GPSL"))
	return f
}

// readExif reads a block of EXIF: a TIFF header, then directories of entries.
//
// Errors: none; a block that is no EXIF, or is cut off, says what it can.
// Source: CIPA DC-008 (EXIF 2.3), tags 0x0112, 0x8769, 0x8825, 0x9003, from memory.
func readExif(raw []byte) facts {
	f := facts{orientation: 1}
	t, ok := newTIFF(raw)
	if !ok {
		return f
	}
	var exif, gps uint32
	t.each(t.order.Uint32(raw[4:]), func(e entry) {
		switch e.tag {
		case 0x0112:
			if n := e.short(); n >= 1 && n <= 8 {
				f.orientation = n
			}
		case 0x8769:
			exif = e.long()
		case 0x8825:
			gps = e.long()
		}
	})
	if exif != 0 {
		t.each(exif, func(e entry) {
			if e.tag == 0x9003 {
				f.taken = when(e.text())
			}
		})
	}
	if gps != 0 {
		t.each(gps, func(e entry) { f.located = f.located || e.tag >= 1 && e.tag <= 6 })
	}
	return f
}

// tiff is a block with its byte order.
type tiff struct {
	b     []byte
	order binary.ByteOrder
}

func newTIFF(b []byte) (tiff, bool) {
	if len(b) < 8 {
		return tiff{}, false
	}
	switch string(b[:4]) {
	case "II*\x00":
		return tiff{b, binary.LittleEndian}, true
	case "MM\x00*":
		return tiff{b, binary.BigEndian}, true
	}
	return tiff{}, false
}

// entry is one entry of a directory.
type entry struct {
	t     tiff
	tag   uint16
	kind  uint16
	count uint32
	value []byte // the four bytes of the entry
}

// mostEntries bounds a directory.
const mostEntries = 512

// each walks the entries of one directory.
func (t tiff) each(at uint32, f func(entry)) {
	if uint64(at)+2 > uint64(len(t.b)) {
		return
	}
	n := int(t.order.Uint16(t.b[at:]))
	for i := range min(n, mostEntries) {
		p := uint64(at) + 2 + 12*uint64(i)
		if p+12 > uint64(len(t.b)) {
			return
		}
		e := t.b[p : p+12]
		f(entry{t, t.order.Uint16(e), t.order.Uint16(e[2:]), t.order.Uint32(e[4:]), e[8:12]})
	}
}

func (e entry) short() int {
	if e.kind != 3 || e.count != 1 {
		return 0
	}
	return int(e.t.order.Uint16(e.value))
}

func (e entry) long() uint32 {
	if e.kind != 4 || e.count != 1 {
		return 0
	}
	return e.t.order.Uint32(e.value)
}

// text is an ASCII value; four letters or fewer stand in the entry itself.
func (e entry) text() string {
	if e.kind != 2 || e.count > 64 {
		return ""
	}
	b := e.value
	if e.count > 4 {
		at := uint64(e.t.order.Uint32(e.value))
		if at+uint64(e.count) > uint64(len(e.t.b)) {
			return ""
		}
		b = e.t.b[at : at+uint64(e.count)]
	} else {
		b = b[:e.count]
	}
	return strings.TrimRight(string(b), "\x00 ")
}

// when turns "2026:03:04 11:30:12" into 2026-03-04 11:30:12; anything else says
// nothing.
func when(s string) string {
	if len(s) != 19 || s[4] != ':' || s[7] != ':' || s[10] != ' ' || s[13] != ':' || s[16] != ':' {
		return ""
	}
	for i, c := range []byte(s) {
		switch i {
		case 4, 7, 10, 13, 16:
		default:
			if c < '0' || c > '9' {
				return ""
			}
		}
	}
	return s[:4] + "-" + s[5:7] + "-" + s[8:]
}
