package photo

import (
	"bytes"
	"image"
	"image/jpeg"

	"fettle/internal/base/fault"
)

// turn lays a picture the way its camera was held.
//
//	1 as it is · 2 mirrored · 3 by 180° · 4 upside down mirrored ·
//	5 along its diagonal · 6 by 90° · 7 along the other diagonal · 8 by 270°, clockwise
//
// Source: CIPA DC-008 (EXIF 2.3), tag 0x0112, from memory.
func turn(in *image.RGBA, orientation int) *image.RGBA {
	if orientation < 2 || orientation > 8 {
		return in
	}
	w, h := in.Bounds().Dx(), in.Bounds().Dy()
	ow, oh := w, h
	if orientation >= 5 {
		ow, oh = h, w
	}
	out := image.NewRGBA(image.Rect(0, 0, ow, oh))
	for y := range oh {
		for x := range ow {
			sx, sy := from(orientation, x, y, w, h)
			copy(out.Pix[out.PixOffset(x, y):][:4], in.Pix[in.PixOffset(sx, sy):][:4])
		}
	}
	return out
}

// from is where the pixel x, y of the turned picture stands in the stored one.
func from(orientation, x, y, w, h int) (int, int) {
	switch orientation {
	case 2:
		return w - 1 - x, y
	case 3:
		return w - 1 - x, h - 1 - y
	case 4:
		return x, h - 1 - y
	case 5:
		return y, x
	case 6:
		return y, h - 1 - x
	case 7:
		return w - 1 - y, h - 1 - x
	case 8:
		return w - 1 - y, x
	}
	return x, y
}

// encode writes a JPEG; it holds the picture and nothing else.
func encode(img image.Image, quality int) ([]byte, error) {
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: quality}); err != nil {
		return nil, fault.New(fault.Broken, "fault.other", "error", err.Error()).Because(err)
	}
	return b.Bytes(), nil
}
