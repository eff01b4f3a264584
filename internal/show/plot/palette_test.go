package plot

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// luminance and contrast after WCAG 2.2 (W3C, 2023), definitions of relative
// luminance and contrast ratio.
func luminance(r, g, b uint8) float64 {
	lin := linear(r, g, b)
	return 0.2126*lin[0] + 0.7152*lin[1] + 0.0722*lin[2]
}

func linear(r, g, b uint8) (out [3]float64) {
	for i, v := range []uint8{r, g, b} {
		s := float64(v) / 255
		if s <= 0.04045 {
			out[i] = s / 12.92
		} else {
			out[i] = math.Pow((s+0.055)/1.055, 2.4)
		}
	}
	return out
}

func contrast(a, b Ink, t Theme) float64 {
	la, lb := luminance(a.RGB(t)), luminance(b.RGB(t))
	return (max(la, lb) + 0.05) / (min(la, lb) + 0.05)
}

// Published: WCAG 2.2 — white has luminance 1, black 0, their ratio is 21;
// #777777 on white is 4.48 (the well-known near miss of 4.5, from memory).
func TestContrastFormula(t *testing.T) {
	if w, k := luminance(255, 255, 255), luminance(0, 0, 0); math.Abs(w-1) > 1e-12 || k != 0 {
		t.Errorf("white %v black %v", w, k)
	}
	if got := 1.05 / (luminance(0x77, 0x77, 0x77) + 0.05); math.Abs(got-4.48) > 0.005 {
		t.Errorf("#777777 on white: %.3f", got)
	}
}

// Law: every pair that carries text meets 4.5:1 and every pair that carries
// meaning by shape 3:1 (WCAG 2.2, 1.4.3 and 1.4.11), in all three themes.
func TestContrastOfPairs(t *testing.T) {
	text := [][2]Ink{
		{InkPen, InkGround}, {InkThin, InkGround}, {InkAccent, InkGround}, {InkIn, InkGround}, {InkOut, InkGround}, {InkUnmeasured, InkGround},
		{InkPen, InkTint}, {InkThin, InkTint}, {InkInOn, InkIn}, {InkUndecidedOn, InkUndecided}, {InkOutOn, InkOut}, {InkUnmeasuredOn, InkUnmeasured},
	}
	shape := [][2]Ink{{InkUndecidedEdge, InkGround}, {InkAccent, InkTint}, {InkIn, InkTint}, {InkOut, InkTint}}
	for th, name := range []string{"paper", "blueprint", "print"} {
		for _, p := range text {
			if c := contrast(p[0], p[1], Theme(th)); c < 4.5 {
				t.Errorf("%s: %v on %v is %.2f:1, below 4.5", name, p[0], p[1], c)
			}
		}
		for _, p := range shape {
			if c := contrast(p[0], p[1], Theme(th)); c < 3 {
				t.Errorf("%s: %v on %v is %.2f:1, below 3", name, p[0], p[1], c)
			}
		}
	}
}

// Law: the four verdict fills stay apart for readers with each of the three
// colour deficiencies: CIE 1976 distance (CIE 15) of at least 20 after the
// full-severity matrices of Machado, Oliveira and Fernandes 2009 (matrices
// from memory). Twenty is a distance nobody overlooks; 2.3 is just noticeable.
func TestVerdictsStayApart(t *testing.T) {
	matrices := []struct {
		name string
		m    [9]float64
	}{
		{"normal", [9]float64{1, 0, 0, 0, 1, 0, 0, 0, 1}},
		{"protan", [9]float64{0.152286, 1.052583, -0.204868, 0.114503, 0.786281, 0.099216, -0.003882, -0.048116, 1.051998}},
		{"deutan", [9]float64{0.367322, 0.860646, -0.227968, 0.280085, 0.672501, 0.047413, -0.011820, 0.042940, 0.968881}},
		{"tritan", [9]float64{1.255528, -0.076749, -0.178779, -0.078411, 0.930809, 0.147602, 0.004733, 0.691367, 0.303900}},
	}
	fills := []Ink{InkIn, InkUndecided, InkOut, InkUnmeasured}
	for th, name := range []string{"paper", "blueprint", "print"} {
		for _, m := range matrices {
			least := math.Inf(1)
			for i, a := range fills {
				for _, b := range fills[:i] {
					least = min(least, distance(seen(a, Theme(th), m.m), seen(b, Theme(th), m.m)))
				}
			}
			t.Logf("%s %s: least distance %.0f", name, m.name, least)
			if least < 20 {
				t.Errorf("%s, %s: two verdicts are %.1f apart", name, m.name, least)
			}
		}
	}
}

// seen returns the CIE L*a*b* of an ink (sRGB, D65) through a matrix on
// linear light.
func seen(i Ink, th Theme, m [9]float64) (lab [3]float64) {
	l := linear(i.RGB(th))
	var r [3]float64
	for k := range r {
		r[k] = max(0, min(1, m[3*k]*l[0]+m[3*k+1]*l[1]+m[3*k+2]*l[2]))
	}
	f := func(v float64) float64 {
		if v > 216.0/24389 {
			return math.Cbrt(v)
		}
		return (24389.0/27*v + 16) / 116
	}
	x := f((0.4124564*r[0] + 0.3575761*r[1] + 0.1804375*r[2]) / 0.95047)
	y := f(0.2126729*r[0] + 0.7151522*r[1] + 0.0721750*r[2])
	z := f((0.0193339*r[0] + 0.1191920*r[1] + 0.9503041*r[2]) / 1.08883)
	return [3]float64{116*y - 16, 500 * (x - y), 200 * (y - z)}
}

func distance(a, b [3]float64) float64 {
	return math.Sqrt((a[0]-b[0])*(a[0]-b[0]) + (a[1]-b[1])*(a[1]-b[1]) + (a[2]-b[2])*(a[2]-b[2]))
}

// Law: the stylesheet gives every ink in every theme and every class a
// drawing can use.
func TestCSSIsComplete(t *testing.T) {
	css := CSS()
	for _, i := range Inks() {
		for th := range 3 {
			r, g, b := i.RGB(Theme(th))
			if want := fmt.Sprintf("--%s:#%02X%02X%02X", i, r, g, b); !strings.Contains(css, want) {
				t.Errorf("stylesheet lacks %s", want)
			}
		}
	}
	for _, p := range plates() {
		for _, part := range strings.Split(svgOf(p), `class="`)[1:] {
			names, _, _ := strings.Cut(part, `"`)
			for _, n := range strings.Fields(names) {
				if !strings.Contains(css, "."+n+"{") && !strings.Contains(css, "."+n+" ") {
					t.Errorf("plate %q uses class %q, which the stylesheet lacks", p.name, n)
				}
			}
		}
	}
}

// Law: without colour each verdict still has a shape of its own, at the size
// of a table line and at the size of a plate.
func TestSignsDifferByShape(t *testing.T) {
	for _, r := range []float64{rowSize().mark, markSign} {
		small := NewSVG(20, 20, "")
		Sign(small, Pt(10, 10), r, Reject)
		if !strings.Contains(small.String(), "s-out-on") {
			t.Errorf("radius %v: the octagon has no cross and would pass for a disc", r)
		}
		seen := map[string]Verdict{}
		for _, v := range []Verdict{Accept, Undecided, Reject, Rework, Unmeasured} {
			s := NewSVG(20, 20, "")
			Sign(s, Pt(10, 10), r, v)
			shape := s.String()
			for _, i := range Inks() {
				shape = strings.NewReplacer("f-"+i.String()+" ", "", "s-"+i.String()+" ", "", "f-"+i.String()+`"`, `"`).Replace(shape)
			}
			if other, ok := seen[shape]; ok {
				t.Errorf("radius %v: %s and %s have one shape", r, v, other)
			}
			seen[shape] = v
		}
	}
}
