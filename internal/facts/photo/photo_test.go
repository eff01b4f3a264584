package photo

import (
	"bytes"
	"encoding/binary"
	"errors"
	"image"
	"image/color"
	"image/jpeg"
	"runtime"
	"strings"
	"testing"

	"fettle/internal/base/fault"
)

func read(t testing.TB, b []byte) *Photo {
	t.Helper()
	p, err := Read(b)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// Law: however the camera was held, the picture comes out upright. The stored
// picture of each orientation is made by the definition in words of the EXIF
// standard: where its row 0 and its column 0 are in the scene.
func TestEveryOrientation(t *testing.T) {
	const w, h = 64, 32
	scene := quarters(w, h)
	// What stands at the top and at the left of the stored picture (EXIF 2.3, tag
	// 0x0112, from memory): 1 top left, 2 top right, 3 bottom right, 4 bottom
	// left, 5 left top, 6 right top, 7 right bottom, 8 left bottom.
	rows := map[int][2]string{1: {"top", "left"}, 2: {"top", "right"}, 3: {"bottom", "right"}, 4: {"bottom", "left"},
		5: {"left", "top"}, 6: {"right", "top"}, 7: {"right", "bottom"}, 8: {"left", "bottom"}}
	for o, side := range rows {
		sw, sh := w, h
		if o >= 5 {
			sw, sh = h, w
		}
		stored := image.NewRGBA(image.Rect(0, 0, sw, sh))
		for r := range sh {
			for c := range sw {
				var x, y int
				for i, s := range side {
					n := r // row 0 is at side[0], and rows go away from it
					if i == 1 {
						n = c
					}
					switch s {
					case "top":
						y = n
					case "bottom":
						y = h - 1 - n
					case "left":
						x = n
					case "right":
						x = w - 1 - n
					}
				}
				stored.SetRGBA(c, r, scene.RGBAAt(x, y))
			}
		}
		for _, order := range []binary.ByteOrder{binary.LittleEndian, binary.BigEndian} {
			block := exif(order, o, "2026:03:04 11:30:12", true)
			for name, b := range map[string][]byte{"jpeg": withEXIF(jpegOf(t, stored), block), "png": pngWith(pngOf(t, stored), "eXIf", block)} {
				p := read(t, b)
				if p.Width != w || p.Height != h || p.Taken != "2026-03-04 11:30:12" || !p.Located {
					t.Errorf("%s, orientation %d: %d × %d, taken %q, located %v", name, o, p.Width, p.Height, p.Taken, p.Located)
				}
				for i, want := range [4]color.RGBA{red, green, blue, yellow} {
					if got := corners(t, p.Shown)[i]; !alike(got, want) {
						t.Errorf("%s, orientation %d, corner %d: %v, want %v", name, o, i, got, want)
					}
				}
			}
		}
	}
	// An orientation that does not exist turns nothing.
	p := read(t, withEXIF(jpegOf(t, scene), exif(binary.LittleEndian, 9, "", false)))
	if p.Width != w || p.Taken != "" || p.Located {
		t.Errorf("%+v", p)
	}
}

// Law: what is shown is a JPEG that holds tables and a picture, nothing else:
// no metadata of any kind, whatever the original carried.
func TestNothingIsLeft(t *testing.T) {
	block := exif(binary.BigEndian, 6, "2026:03:04 11:30:12", true)
	xmp := []byte("\xff\xe1\x00\x28http://ns.adobe.com/xap/1.0/\x00exif:GPSL")
	j := withEXIF(jpegOf(t, quarters(64, 32)), block)
	j = append(append(bytes.Clone(j[:2]), append(xmp[:4:4], append(xmp[4:], make([]byte, 0x28-2-len(xmp)+4)...)...)...), j[2:]...)
	for name, b := range map[string][]byte{"jpeg": j, "png": pngWith(pngOf(t, quarters(64, 32)), "eXIf", block), "webp": webpOf(40, 20, green, block)} {
		p := read(t, b)
		if !p.Located {
			t.Errorf("%s: the place is not seen", name)
		}
		for which, out := range map[string][]byte{"shown": p.Shown, "small": p.Small} {
			for _, bad := range []string{"Exif", "GPS", "LOCATION", "II*\x00", "MM\x00*", "2026", "http", "xmp"} {
				if bytes.Contains(out, []byte(bad)) {
					t.Errorf("%s, %s: %q is left in it", name, which, bad)
				}
			}
			segments(out, func(m byte, _ []byte) bool {
				if m != 0xdb && m != 0xc0 && m != 0xc4 { // tables, frame, codes
					t.Errorf("%s, %s: a segment %#x", name, which, m)
				}
				return true
			})
			if !bytes.HasSuffix(out, []byte{0xff, 0xd9}) {
				t.Errorf("%s, %s: something stands behind its end", name, which)
			}
		}
	}
}

// Law: what is large becomes small with its sides in proportion, what is small
// stays; the same bytes give the same bytes.
func TestSizes(t *testing.T) {
	p := read(t, jpegOf(t, quarters(3200, 1000)))
	c, err := jpeg.DecodeConfig(bytes.NewReader(p.Shown))
	if err != nil || c.Width != ShownSide || c.Height != 500 || p.Width != 3200 {
		t.Errorf("%v, %v", c, err)
	}
	if s, err := jpeg.DecodeConfig(bytes.NewReader(p.Small)); err != nil || s.Width != SmallSide || s.Height != 100 {
		t.Errorf("%v, %v", s, err)
	}
	again := read(t, jpegOf(t, quarters(3200, 1000)))
	if !bytes.Equal(p.Shown, again.Shown) || !bytes.Equal(p.Small, again.Small) {
		t.Error("two readings of one photo differ")
	}
	if tiny := read(t, pngOf(t, quarters(2, 2))); tiny.Width != 2 || tiny.Type != "image/png" {
		t.Errorf("%+v", tiny)
	}
	if w := read(t, webpOf(30, 60, blue, exif(binary.LittleEndian, 8, "", false))); w.Type != "image/webp" || w.Width != 60 || !alike(corners(t, w.Shown)[0], blue) {
		t.Errorf("webp: %d × %d, %v", w.Width, w.Height, corners(t, w.Shown)[0])
	}
	clear := image.NewNRGBA(image.Rect(0, 0, 16, 16))
	if got := corners(t, read(t, pngOf(t, clear)).Shown)[0]; !alike(got, color.RGBA{255, 255, 255, 255}) {
		t.Errorf("what is transparent became %v", got)
	}
}

// Law: the spans of every size cover each new pixel once; a picture of one
// colour keeps it to the last bit, at any size.
func TestShrinkKeepsTheMean(t *testing.T) {
	for _, c := range [][2]int{{4000, 1600}, {1601, 1600}, {1600, 1599}, {7, 3}, {5, 1}, {3, 2}, {1000, 999}} {
		sum := make([]float64, c[1]+1)
		for _, s := range spans(c[0], c[1]) {
			sum[s.at] += float64(s.here)
			sum[s.at+1] += float64(s.next)
		}
		for i, v := range sum[:c[1]] {
			if v < 0.9999 || v > 1.0001 {
				t.Errorf("%d to %d: pixel %d is covered %g times", c[0], c[1], i, v)
			}
		}
		if sum[c[1]] > 1e-9 {
			t.Errorf("%d to %d: something lies beyond the end", c[0], c[1])
		}
		img := image.NewRGBA(image.Rect(3, 5, 3+c[0], 5+c[0]/2+1))
		for i := range img.Pix {
			img.Pix[i] = []byte{200, 100, 50, 255}[i%4]
		}
		out := shrink(img, c[1])
		for i, v := range out.Pix {
			if v != []byte{200, 100, 50, 255}[i%4] {
				t.Fatalf("%d to %d: byte %d is %d", c[0], c[1], i, v)
			}
		}
	}
}

// header is a PNG of a size that its data do not have.
func header(w, h uint32, depth, kind byte) []byte {
	body := binary.BigEndian.AppendUint32(nil, w)
	body = binary.BigEndian.AppendUint32(body, h)
	body = append(body, depth, kind, 0, 0, 0)
	return append(append([]byte("\x89PNG\r\n\x1a\n"), chunk("IHDR", body)...), chunk("IEND", nil)...)
}

// Law: what is no photo, or hides something, or would take all memory, is
// refused with one sentence, before it is decoded.
func TestHostile(t *testing.T) {
	good := jpegOf(t, quarters(64, 32))
	comment := append(append(bytes.Clone(good[:2]), append([]byte{0xff, 0xfe, 0, 27}, "<script>alert(1)</script>"...)...), good[2:]...)
	large := bytes.Clone(good)
	i := bytes.Index(large, []byte{0xff, 0xc0})
	binary.BigEndian.PutUint16(large[i+5:], 10000) // 100 million pixels
	binary.BigEndian.PutUint16(large[i+7:], 10000)
	scans := bytes.Clone(good[:len(good)-2])
	for range 60 {
		scans = append(scans, 0xff, 0xda, 0, 8, 1, 1, 0, 0, 63, 0)
	}
	flipped := pngOf(t, quarters(64, 32))
	flipped[len(flipped)-20] ^= 0x55
	for name, c := range map[string]struct {
		b    []byte
		want string
	}{
		"nothing":                  {nil, "photo.not-one"},
		"svg with script":          {[]byte(`<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>`), "photo.not-one"},
		"html":                     {[]byte("<!doctype html><p>a.jpg"), "photo.not-one"},
		"gif and script":           {[]byte("GIF89a=1;alert(1)//"), "photo.not-one"},
		"script in a comment":      {comment, "photo.smuggles"},
		"html behind the end":      {append(bytes.Clone(good), "<HTML><body>"...), "photo.smuggles"},
		"pdf behind the end":       {append(bytes.Clone(good), "%PDF-1.7"...), "photo.smuggles"},
		"zip behind the end":       {append(bytes.Clone(good), "PK\x05\x06\x00\x00\x00\x00"...), "photo.smuggles"},
		"script in a png":          {pngWith(pngOf(t, quarters(8, 8)), "tEXt", []byte("x\x00<script>")), "photo.smuggles"},
		"400 million pixels":       {header(20000, 20000, 1, 0), "photo.too-many-pixels"},
		"one long line":            {header(1<<30, 1, 1, 0), "photo.too-many-pixels"},
		"100 million pixels":       {large, "photo.too-many-pixels"},
		"16 bits a channel":        {header(7000, 7000, 16, 6), "photo.too-heavy"},
		"many passes":              {append(scans, 0xff, 0xd9), "photo.too-many-passes"},
		"cut off":                  {good[:len(good)/2], "photo.broken"},
		"cut off in its header":    {good[:12], "photo.broken"},
		"a png cut off":            {flipped[:len(flipped)/2], "photo.broken"},
		"a png with a flipped bit": {flipped, "photo.broken"},
		"webp without a picture":   {[]byte("RIFF\x04\x00\x00\x00WEBPVP8L"), "photo.broken"},
		"too long":                 {append(bytes.Clone(good), make([]byte, MostBytes)...), "photo.too-long"},
	} {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		_, err := Read(c.b)
		runtime.ReadMemStats(&after)
		var f *fault.Fault
		if !errors.As(err, &f) || f.Key != c.want {
			t.Errorf("%s: %v, want %s", name, err, c.want)
		}
		if grown := after.TotalAlloc - before.TotalAlloc; c.want == "photo.too-many-pixels" && grown > 8<<20 {
			t.Errorf("%s: %d MiB were taken before it was refused", name, grown>>20)
		}
	}
}

// Law: EXIF that is cut off anywhere, or points anywhere, says what it can and
// nothing breaks; a directory that points at itself ends.
func TestBrokenEXIF(t *testing.T) {
	block := exif(binary.LittleEndian, 6, "2026:03:04 11:30:12", true)
	for n := range len(block) {
		f := readExif(block[:n])
		if f.orientation != 1 && f.orientation != 6 {
			t.Errorf("cut at %d: orientation %d", n, f.orientation)
		}
	}
	loop := bytes.Clone(block)
	binary.LittleEndian.PutUint32(loop[8+2+12+8:], 8) // the EXIF directory is the first one
	if f := readExif(loop); f.orientation != 6 {
		t.Errorf("%+v", f)
	}
	for _, s := range []string{"2026-03-04 11:30:12", "2026:03:04", strings.Repeat("x", 19), "2026:0a:04 11:30:12"} {
		if when(s) != "" {
			t.Errorf("%q was taken for a time", s)
		}
	}
}

// Fuzz: any block of EXIF.
func FuzzExif(f *testing.F) {
	f.Add(exif(binary.LittleEndian, 6, "2026:03:04 11:30:12", true))
	f.Add(exif(binary.BigEndian, 3, "x", false))
	f.Fuzz(func(t *testing.T, b []byte) {
		x := readExif(b)
		if x.orientation < 1 || x.orientation > 8 || len(x.taken) != 0 && len(x.taken) != 19 {
			t.Errorf("%+v", x)
		}
	})
}

// Fuzz: any file. What is taken comes out as two clean JPEGs of the stated sizes.
func FuzzRead(f *testing.F) {
	block := exif(binary.LittleEndian, 6, "2026:03:04 11:30:12", true)
	f.Add(withEXIF(jpegOf(f, quarters(16, 8)), block))
	f.Add(pngWith(pngOf(f, quarters(16, 8)), "eXIf", block))
	f.Add(webpOf(8, 8, red, block))
	f.Fuzz(func(t *testing.T, b []byte) {
		if len(b) > 1<<16 {
			return
		}
		if kind := sniff(b); kind != "" { // decoding a large one would only take time
			if c, err := config(kind, b); err == nil && c.Width*c.Height > 1<<20 {
				return
			}
		}
		p, err := Read(b)
		if err != nil {
			return
		}
		c, err := jpeg.DecodeConfig(bytes.NewReader(p.Shown))
		if err != nil || c.Width > ShownSide || c.Height > ShownSide {
			t.Fatalf("%v, %v", c, err)
		}
		segments(p.Shown, func(m byte, _ []byte) bool {
			if m == 0xe1 || m == 0xfe {
				t.Errorf("a segment %#x", m)
			}
			return true
		})
	})
}
