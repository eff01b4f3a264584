package plot

import (
	"bytes"
	"encoding/binary"
	"sort"
	"sync"

	"golang.org/x/image/font/sfnt"
)

// WebFonts returns both weights as pages need them: the same outlines and
// widths, without the instructions that fit them to coarse screens and without
// scripts that no word of ours is written in. They are less than half as long.
// A letter that is missing is shown in the reader's own type.
func WebFonts() []Face {
	lean := leanFonts()
	out := make([]Face, len(lean))
	for i, f := range lean {
		out[i] = Face{f.Weight, f.Name, append([]byte(nil), f.TTF...)}
	}
	return out
}

var leanFonts = sync.OnceValue(func() []Face {
	names := map[Weight]string{Regular: "go-regular-lean.ttf", Bold: "go-bold-lean.ttf"}
	var out []Face
	for _, f := range Fonts() {
		out = append(out, Face{f.Weight, names[f.Weight], lean(f.TTF)})
	}
	return out
})

// written reports the letters that pages may show: Latin, Greek, marks, arrows
// and signs.
func written(r rune) bool {
	return r < 0x250 || r >= 0x2b0 && r < 0x400 || r >= 0x1e00 && r < 0x2400 || r >= 0x25a0 && r < 0x2700
}

// tables of a TrueType file by their tags.
type tables map[string][]byte

func readTables(ttf []byte) tables {
	be := binary.BigEndian
	out := tables{}
	for i := range int(be.Uint16(ttf[4:])) {
		e := ttf[12+16*i:]
		out[string(e[:4])] = ttf[be.Uint32(e[8:]):][:be.Uint32(e[12:])]
	}
	return out
}

// lean writes a font anew without instructions and unwanted outlines. Glyphs
// keep their numbers, so that all other tables stay as they are.
//
// Source: OpenType specification 1.9.1, glyf, loca, head, maxp and post.
func lean(ttf []byte) []byte {
	be := binary.BigEndian
	t := readTables(ttf)
	n := int(be.Uint16(t["maxp"][4:]))
	keep := wanted(ttf, n)
	glyph := func(i int) []byte {
		if be.Uint16(t["head"][50:]) == 0 {
			return t["glyf"][2*int(be.Uint16(t["loca"][2*i:])) : 2*int(be.Uint16(t["loca"][2*i+2:]))]
		}
		return t["glyf"][be.Uint32(t["loca"][4*i:]):be.Uint32(t["loca"][4*i+4:])]
	}
	for i := range n { // what a kept glyph is put together of is kept too
		if keep[i] {
			parts(glyph(i), func(part int) { keep[part] = true })
		}
	}
	var glyf, loca bytes.Buffer
	for i := range n {
		_ = binary.Write(&loca, be, uint32(glyf.Len()))
		if keep[i] {
			glyf.Write(bare(glyph(i)))
			for glyf.Len()%4 != 0 {
				glyf.WriteByte(0)
			}
		}
	}
	_ = binary.Write(&loca, be, uint32(glyf.Len()))
	head := bytes.Clone(t["head"])
	be.PutUint16(head[50:], 1)
	maxp := bytes.Clone(t["maxp"])
	be.PutUint16(maxp[26:], 0) // longest instructions
	post := bytes.Clone(t["post"][:32])
	be.PutUint32(post, 0x00030000) // without names
	out := tables{"glyf": glyf.Bytes(), "loca": loca.Bytes(), "head": head, "maxp": maxp, "post": post}
	for _, name := range []string{"cmap", "hhea", "hmtx", "name", "OS/2", "kern"} {
		if b, ok := t[name]; ok {
			out[name] = b
		}
	}
	return out.file()
}

// wanted marks the glyphs of the letters that pages may show.
func wanted(ttf []byte, n int) []bool {
	keep := make([]bool, n)
	keep[0] = true
	f, err := sfnt.Parse(ttf)
	if err != nil {
		panic("plot: the built-in font does not parse: " + err.Error())
	}
	var b sfnt.Buffer
	for r := rune(' '); r < 0x2700; r++ {
		if g, err := f.GlyphIndex(&b, r); err == nil && written(r) {
			keep[g] = true
		}
	}
	return keep
}

// Flags of the parts of a composite glyph.
const (
	wordArgs  = 0x0001
	oneScale  = 0x0008
	moreParts = 0x0020
	twoScales = 0x0040
	fourScale = 0x0080
	hasCode   = 0x0100
)

// parts calls back with each glyph that a composite one is put together of and
// returns where they end; 0 for a simple glyph.
func parts(g []byte, each func(int)) int {
	be := binary.BigEndian
	if len(g) == 0 || int16(be.Uint16(g)) >= 0 {
		return 0
	}
	at := 10
	for {
		flags := be.Uint16(g[at:])
		each(int(be.Uint16(g[at+2:])))
		at += 4 + 2
		if flags&wordArgs != 0 {
			at += 2
		}
		switch {
		case flags&oneScale != 0:
			at += 2
		case flags&twoScales != 0:
			at += 4
		case flags&fourScale != 0:
			at += 8
		}
		if flags&moreParts == 0 {
			return at
		}
	}
}

// bare is a glyph without its instructions.
func bare(g []byte) []byte {
	be := binary.BigEndian
	if len(g) == 0 {
		return nil
	}
	contours := int16(be.Uint16(g))
	if contours < 0 {
		out := bytes.Clone(g[:parts(g, func(int) {})])
		at := 10
		for {
			flags := be.Uint16(out[at:])
			be.PutUint16(out[at:], flags&^hasCode)
			if flags&moreParts == 0 {
				return out
			}
			next := bytes.Clone(out[at:])
			be.PutUint16(next, flags&^moreParts)
			at += parts(append(bytes.Clone(out[:10]), next...), func(int) {}) - 10
		}
	}
	at := 10 + 2*int(contours)
	code := int(be.Uint16(g[at:]))
	return append(append(bytes.Clone(g[:at]), 0, 0), g[at+2+code:]...)
}

// file puts tables together, sorted, with their sums.
func (t tables) file() []byte {
	be := binary.BigEndian
	var names []string
	for name := range t {
		names = append(names, name)
	}
	sort.Strings(names)
	largest, log := 1, 0
	for largest*2 <= len(names) {
		largest, log = largest*2, log+1
	}
	out := make([]byte, 12+16*len(names))
	be.PutUint32(out, 0x00010000)
	be.PutUint16(out[4:], uint16(len(names)))
	be.PutUint16(out[6:], uint16(16*largest))
	be.PutUint16(out[8:], uint16(log))
	be.PutUint16(out[10:], uint16(16*(len(names)-largest)))
	for i, name := range names {
		b := t[name]
		e := out[12+16*i:]
		copy(e, name)
		be.PutUint32(e[4:], sum(b))
		be.PutUint32(e[8:], uint32(len(out)))
		be.PutUint32(e[12:], uint32(len(b)))
		out = append(out, b...)
		for len(out)%4 != 0 {
			out = append(out, 0)
		}
	}
	return out
}

func sum(b []byte) (n uint32) {
	for ; len(b) >= 4; b = b[4:] {
		n += binary.BigEndian.Uint32(b)
	}
	if len(b) > 0 {
		n += binary.BigEndian.Uint32(append(bytes.Clone(b), 0, 0, 0)[:4])
	}
	return n
}
