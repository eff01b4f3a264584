// Package photo reads a picture that somebody hands in: it tells what it is,
// turns it the way the camera was held, and makes a smaller one that carries
// nothing but the picture. It takes bytes and gives bytes; it keeps nothing.
package photo

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"strconv"

	"golang.org/x/image/webp"

	"fettle/internal/base/fault"
)

// Bounds of what is read.
const (
	MostBytes  = 20 << 20   // of a file
	mostPixels = 50_000_000 // of a picture, before it is decoded
	mostSide   = 30_000     // pixels along one side
	mostMemory = 240 << 20  // bytes that decoding may take, as estimated before it
	mostScans  = 40         // passes of a progressive JPEG
)

// The longest side of what is shown, and of what stands beside a text.
const (
	ShownSide = 1600
	SmallSide = 320
)

// Photo is a picture that was read.
type Photo struct {
	Type          string // image/jpeg, image/png, image/webp
	Width, Height int    // of the original, the way it was held
	Taken         string // when, as the camera claims: 2026-03-04 11:30:12; "" where it does not
	Located       bool   // the original says where it was taken
	Shown, Small  []byte // JPEG without any metadata
}

// Read reads a picture: what it is by its own bytes, its size before anything
// is decoded, then turned, shrunk and written anew as JPEG.
//
// Errors: invalid for what is no JPEG, PNG or WebP, for one that is cut off or
// carries another document; too large for too many bytes, pixels or passes.
func Read(b []byte) (*Photo, error) {
	if len(b) > MostBytes {
		return nil, fault.New(fault.TooLarge, "photo.too-long", "most", strconv.Itoa(MostBytes>>20)+" MiB")
	}
	kind := sniff(b)
	if kind == "" {
		return nil, fault.New(fault.Invalid, "photo.not-one")
	}
	if what := smuggled(b); what != "" {
		return nil, fault.New(fault.Invalid, "photo.smuggles", "found", what)
	}
	size, err := config(kind, b)
	if err != nil {
		return nil, fault.New(fault.Invalid, "photo.broken", "type", kind).Because(err)
	}
	if err := fits(kind, b, size); err != nil {
		return nil, err
	}
	img, err := decode(kind, b)
	if err != nil {
		return nil, fault.New(fault.Invalid, "photo.broken", "type", kind).Because(err)
	}
	facts := exifOf(kind, b)
	p := &Photo{Type: kind, Width: size.Width, Height: size.Height, Taken: facts.taken, Located: facts.located}
	if facts.turned() {
		p.Width, p.Height = p.Height, p.Width
	}
	shown := turn(shrink(img, ShownSide), facts.orientation)
	if p.Shown, err = encode(shown, 80); err != nil {
		return nil, err
	}
	p.Small, err = encode(shrink(shown, SmallSide), 72)
	return p, err
}

// sniff tells a picture by its first bytes; a name or a claimed type says nothing.
func sniff(b []byte) string {
	switch {
	case bytes.HasPrefix(b, []byte("\xff\xd8\xff")):
		return "image/jpeg"
	case bytes.HasPrefix(b, []byte("\x89PNG\r\n\x1a\n")):
		return "image/png"
	case len(b) >= 16 && bytes.HasPrefix(b, []byte("RIFF")) && string(b[8:12]) == "WEBP":
		return "image/webp"
	}
	return ""
}

// smuggled names another document inside a picture, one that a careless reader
// could take the file for.
func smuggled(b []byte) string {
	for i := bytes.IndexByte(b, '<'); i >= 0 && i < len(b); {
		for _, w := range []string{"<script", "<html", "<!doctype", "<?php", "<svg ", "<iframe"} {
			if i+len(w) <= len(b) && bytes.EqualFold(b[i:i+len(w)], []byte(w)) {
				return "HTML"
			}
		}
		n := bytes.IndexByte(b[i+1:], '<')
		if n < 0 {
			break
		}
		i += 1 + n
	}
	if bytes.Contains(b, []byte("%PDF-")) {
		return "PDF"
	}
	if tail := b[max(0, len(b)-1<<16):]; bytes.Contains(tail, []byte("PK\x05\x06")) {
		return "ZIP"
	}
	return ""
}

func config(kind string, b []byte) (image.Config, error) {
	switch kind {
	case "image/jpeg":
		return jpeg.DecodeConfig(bytes.NewReader(b))
	case "image/png":
		return png.DecodeConfig(bytes.NewReader(b))
	}
	return webp.DecodeConfig(bytes.NewReader(b))
}

func decode(kind string, b []byte) (image.Image, error) {
	switch kind {
	case "image/jpeg":
		return jpeg.Decode(bytes.NewReader(b))
	case "image/png":
		return png.Decode(bytes.NewReader(b))
	}
	return webp.Decode(bytes.NewReader(b))
}

// fits refuses a picture that would take too much memory or time to decode.
func fits(kind string, b []byte, c image.Config) error {
	if c.Width <= 0 || c.Height <= 0 {
		return fault.New(fault.Invalid, "photo.broken", "type", kind)
	}
	pixels := int64(c.Width) * int64(c.Height)
	if pixels > mostPixels || c.Width > mostSide || c.Height > mostSide {
		return fault.New(fault.TooLarge, "photo.too-many-pixels", "found", strconv.Itoa(c.Width)+" × "+strconv.Itoa(c.Height),
			"most", strconv.Itoa(mostPixels/1_000_000))
	}
	each := int64(4) // bytes a pixel
	switch c.ColorModel {
	case color.RGBA64Model, color.NRGBA64Model:
		each = 8
	case color.Gray16Model:
		each = 2
	}
	if kind == "image/png" {
		each += each / 2 // an interlaced one holds its passes beside it
	}
	if kind == "image/jpeg" {
		scans, progressive := passes(b)
		if scans > mostScans {
			return fault.New(fault.TooLarge, "photo.too-many-passes", "found", strconv.Itoa(scans), "most", strconv.Itoa(mostScans))
		}
		if progressive { // coefficients of every component are kept
			each += 12
		}
	}
	if pixels*each > mostMemory {
		return fault.New(fault.TooLarge, "photo.too-heavy", "found", strconv.FormatInt(pixels*each>>20, 10)+" MiB", "most", strconv.Itoa(mostMemory>>20)+" MiB")
	}
	return nil
}
