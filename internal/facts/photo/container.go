package photo

import (
	"bytes"
	"encoding/binary"
)

// segments walks the segments of a JPEG up to its first scan; f stops it by
// returning false.
func segments(b []byte, f func(marker byte, body []byte) bool) {
	for i := 2; i+4 <= len(b); {
		if b[i] != 0xff {
			return
		}
		m := b[i+1]
		if m == 0xff { // a fill byte
			i++
			continue
		}
		n := int(binary.BigEndian.Uint16(b[i+2:]))
		if m == 0xda || m == 0xd9 || n < 2 || i+2+n > len(b) || !f(m, b[i+4:i+2+n]) {
			return
		}
		i += 2 + n
	}
}

// inJPEG finds the EXIF block of a JPEG.
func inJPEG(b []byte) (raw []byte) {
	segments(b, func(m byte, body []byte) bool {
		if rest, ok := bytes.CutPrefix(body, []byte("Exif\x00\x00")); ok && m == 0xe1 {
			raw = rest
		}
		return raw == nil
	})
	return raw
}

// passes counts the scans of a JPEG, and says whether it is progressive. Inside
// a scan the byte 0xff is always followed by nought or a restart marker, so a
// start of scan can be counted without decoding.
func passes(b []byte) (n int, progressive bool) {
	for i := 0; i+1 < len(b); i++ {
		if b[i] != 0xff {
			continue
		}
		switch b[i+1] {
		case 0xda:
			n++
		case 0xc2:
			progressive = true
		}
	}
	return n, progressive
}

// inPNG finds the eXIf chunk of a PNG.
func inPNG(b []byte) []byte {
	for i := 8; i+12 <= len(b); {
		n := uint64(binary.BigEndian.Uint32(b[i:]))
		if uint64(i)+12+n > uint64(len(b)) {
			return nil
		}
		if string(b[i+4:i+8]) == "eXIf" {
			return b[i+8 : i+8+int(n)]
		}
		i += 12 + int(n)
	}
	return nil
}

// inWebP finds the EXIF chunk of a WebP.
func inWebP(b []byte) []byte {
	for i := 12; i+8 <= len(b); {
		n := uint64(binary.LittleEndian.Uint32(b[i+4:]))
		if uint64(i)+8+n > uint64(len(b)) {
			return nil
		}
		if string(b[i:i+4]) == "EXIF" {
			raw := b[i+8 : i+8+int(n)]
			return bytes.TrimPrefix(raw, []byte("Exif\x00\x00"))
		}
		i += 8 + int(n) + int(n&1)
	}
	return nil
}
