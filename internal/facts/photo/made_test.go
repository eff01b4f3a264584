package photo

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"testing"
)

// Pictures of this test are made here; none is read from a file.

var (
	red    = color.RGBA{220, 20, 20, 255}
	green  = color.RGBA{20, 180, 20, 255}
	blue   = color.RGBA{20, 20, 220, 255}
	yellow = color.RGBA{230, 220, 20, 255}
)

// quarters is red, green over blue, yellow; w and h are even.
func quarters(w, h int) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			c := red
			switch {
			case x >= w/2 && y < h/2:
				c = green
			case x < w/2 && y >= h/2:
				c = blue
			case x >= w/2:
				c = yellow
			}
			img.SetRGBA(x, y, c)
		}
	}
	return img
}

func jpegOf(t testing.TB, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: 95}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func pngOf(t testing.TB, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// exif makes a block: orientation, time, and a place if asked for.
func exif(order binary.ByteOrder, orientation int, taken string, located bool) []byte {
	var b []byte
	if order == binary.ByteOrder(binary.LittleEndian) {
		b = []byte("II*\x00")
	} else {
		b = []byte("MM\x00*")
	}
	u16 := func(n int) { b = append(b, 0, 0); order.PutUint16(b[len(b)-2:], uint16(n)) }
	u32 := func(n int) { b = append(b, 0, 0, 0, 0); order.PutUint32(b[len(b)-4:], uint32(n)) }
	u32(8)
	n := 2
	if located {
		n = 3
	}
	sub := 8 + 2 + 12*n + 4 // the EXIF directory stands here
	u16(n)
	u16(0x0112) // orientation
	u16(3)
	u32(1)
	u16(orientation)
	u16(0)
	u16(0x8769)
	u16(4)
	u32(1)
	u32(sub)
	text := sub + 2 + 12 + 4
	if located {
		u16(0x8825)
		u16(4)
		u32(1)
		u32(text + 20)
	}
	u32(0)
	u16(1)
	u16(0x9003)
	u16(2)
	u32(len(taken) + 1)
	u32(text)
	u32(0)
	b = append(b, taken...)
	b = append(b, make([]byte, text+20-len(b))...)
	if located {
		u16(1)
		u16(0x0001) // N or S
		u16(2)
		u32(2)
		b = append(b, 'N', 0, 0, 0)
		u32(0)
		b = append(b, "LOCATION-SECRET"...)
	}
	return b
}

// withEXIF puts an EXIF block behind the start of a JPEG.
func withEXIF(img, block []byte) []byte {
	body := append([]byte("Exif\x00\x00"), block...)
	head := []byte{0xff, 0xd8, 0xff, 0xe1, byte((len(body) + 2) >> 8), byte(len(body) + 2)}
	return append(append(head, body...), img[2:]...)
}

// chunk is one chunk of a PNG.
func chunk(kind string, body []byte) []byte {
	b := binary.BigEndian.AppendUint32(nil, uint32(len(body)))
	b = append(append(b, kind...), body...)
	return binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE(b[4:]))
}

// pngWith puts a chunk behind the header of a PNG.
func pngWith(img []byte, kind string, body []byte) []byte {
	const head = 8 + 12 + 13
	return append(append(bytes.Clone(img[:head]), chunk(kind, body)...), img[head:]...)
}

// bits writes a stream of bits, lowest first.
type bits struct {
	b []byte
	n int
}

func (w *bits) put(v uint32, n int) {
	for i := range n {
		if w.n%8 == 0 {
			w.b = append(w.b, 0)
		}
		w.b[w.n/8] |= byte(v>>i&1) << (w.n % 8)
		w.n++
	}
}

// webpOf is a WebP of one colour, without loss, with an EXIF chunk behind it.
func webpOf(w, h int, c color.RGBA, exif []byte) []byte {
	var s bits
	s.put(0x2f, 8)
	s.put(uint32(w-1), 14)
	s.put(uint32(h-1), 14)
	s.put(0, 4) // opaque, version 0
	s.put(0, 3) // no transform, no cache, one group of codes
	for _, v := range []byte{c.G, c.R, c.B, 255, 0} {
		s.put(1, 1) // a simple code
		s.put(0, 1) // of one symbol
		s.put(1, 1) // in eight bits
		s.put(uint32(v), 8)
	}
	riff := func(kind string, body []byte) []byte {
		b := binary.LittleEndian.AppendUint32([]byte(kind), uint32(len(body)))
		b = append(b, body...)
		if len(body)%2 == 1 {
			b = append(b, 0)
		}
		return b
	}
	body := append([]byte("WEBP"), riff("VP8L", s.b)...)
	if exif != nil {
		body = append(body, riff("EXIF", exif)...)
	}
	return riff("RIFF", body)
}

// corners reads the colours of a JPEG near its corners: top left, top right,
// bottom left, bottom right.
func corners(t testing.TB, b []byte) [4]color.RGBA {
	t.Helper()
	img, err := jpeg.Decode(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	w, h := img.Bounds().Dx(), img.Bounds().Dy()
	at := func(x, y int) color.RGBA { return color.RGBAModel.Convert(img.At(x, y)).(color.RGBA) }
	return [4]color.RGBA{at(w/8, h/8), at(w-1-w/8, h/8), at(w/8, h-1-h/8), at(w-1-w/8, h-1-h/8)}
}

// alike allows for what JPEG loses.
func alike(a, b color.RGBA) bool {
	d := func(x, y uint8) bool { return max(x, y)-min(x, y) < 25 }
	return d(a.R, b.R) && d(a.G, b.G) && d(a.B, b.B)
}
