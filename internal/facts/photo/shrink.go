package photo

import (
	"image"
	"image/color"
	"image/draw"
)

// strip is how many rows of the original are held as colours at a time.
const strip = 32

// shrink makes a picture whose longest side is at most side; a smaller one
// keeps its size. Each new pixel is the mean of the area it stands for. What is
// transparent becomes white. Beside the two pictures it holds one strip: a
// kernel over whole columns would take 150 MB for twelve million pixels.
func shrink(img image.Image, side int) *image.RGBA {
	b := img.Bounds()
	sw, sh := b.Dx(), b.Dy()
	w, h := sw, sh
	if long := max(w, h); long > side {
		w, h = max(1, w*side/long), max(1, h*side/long)
	}
	out := image.NewRGBA(image.Rect(0, 0, w, h))
	if w == sw && h == sh {
		draw.Draw(out, out.Bounds(), image.NewUniform(color.White), image.Point{}, draw.Src)
		draw.Draw(out, out.Bounds(), img, b.Min, draw.Over)
		return out
	}
	across, down := spans(sw, w), spans(sh, h)
	band := image.NewRGBA(image.Rect(0, 0, sw, strip))
	row := make([]float32, 3*w)
	sums := [2][]float32{make([]float32, 3*w), make([]float32, 3*w)} // of this row and the next
	at := 0
	for y := range sh {
		if y%strip == 0 {
			draw.Draw(band, band.Bounds(), image.NewUniform(color.White), image.Point{}, draw.Src)
			draw.Draw(band, band.Bounds(), img, image.Pt(b.Min.X, b.Min.Y+y), draw.Over)
		}
		squeeze(row, band.Pix[(y%strip)*band.Stride:], across)
		d := down[y]
		if d.at > at {
			write(out, at, sums[0])
			sums[0], sums[1] = sums[1], sums[0]
			clear(sums[1])
			at = d.at
		}
		for i, v := range row {
			sums[0][i] += v * d.here
			if d.next > 0 {
				sums[1][i] += v * d.next
			}
		}
	}
	write(out, at, sums[0])
	return out
}

// span says to which new pixel an old one belongs, and with which part of the
// new one's area; what reaches over belongs to the one after.
type span struct {
	at         int
	here, next float32
}

// spans shares out n old pixels over m new ones, m at most n.
func spans(n, m int) []span {
	out := make([]span, n)
	each := float64(m) / float64(n) // of a new pixel, along this side
	for i := range out {
		from, to := i*m, (i+1)*m // in parts of 1/n
		k := from / n
		s := span{at: k, here: float32(each)}
		if edge := (k + 1) * n; to > edge {
			s.here, s.next = float32(edge-from)/float32(n), float32(to-edge)/float32(n)
		}
		out[i] = s
	}
	return out
}

// squeeze makes one row of the old picture as wide as the new one.
func squeeze(row []float32, pix []byte, across []span) {
	clear(row)
	for x, s := range across {
		p, q := pix[4*x:4*x+3:4*x+3], row[3*s.at:]
		r, g, b := float32(p[0]), float32(p[1]), float32(p[2])
		q[0] += r * s.here
		q[1] += g * s.here
		q[2] += b * s.here
		if s.next > 0 {
			q[3] += r * s.next
			q[4] += g * s.next
			q[5] += b * s.next
		}
	}
}

func write(out *image.RGBA, y int, sums []float32) {
	p := out.Pix[y*out.Stride:]
	for x := range out.Rect.Dx() {
		for k := range 3 {
			p[4*x+k] = byte(min(255, sums[3*x+k]+0.5))
		}
		p[4*x+3] = 255
	}
}
