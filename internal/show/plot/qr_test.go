package plot

import (
	"errors"
	"strings"
	"testing"

	"fettle/internal/base/fault"
)

// reading walks the modules of a code in the order in which ISO/IEC 18004
// (7.7.3) places its words and undoes the mask. Function patterns of the
// versions 2 to 6, which have one alignment pattern, are left out.
func reading(t *testing.T, c *Code) []byte {
	t.Helper()
	n := c.side
	dark := func(x, y int) bool { return c.Dark(x+quiet, y+quiet) }
	ours := func(x, y int) bool { // function patterns and format words
		return x == 6 || y == 6 || x < 9 && y < 9 || x >= n-8 && y < 9 || x < 9 && y >= n-8 || x >= n-9 && x <= n-5 && y >= n-9 && y <= n-5
	}
	format := 0 // 7.9: fifteen bits about the upper left finder pattern
	for i, p := range [][2]int{{0, 8}, {1, 8}, {2, 8}, {3, 8}, {4, 8}, {5, 8}, {7, 8}, {8, 8}, {8, 7}, {8, 5}, {8, 4}, {8, 3}, {8, 2}, {8, 1}, {8, 0}} {
		if dark(p[0], p[1]) {
			format |= 1 << (14 - i)
		}
	}
	format ^= 0x5412
	rest := format
	for i := 14; i >= 10; i-- {
		if rest>>i&1 == 1 {
			rest ^= 0x537 << (i - 10)
		}
	}
	if rest != 0 {
		t.Fatalf("the format word %015b is no word of the BCH(15,5) code", format)
	}
	masks := []func(i, j int) bool{ // table 10, i is the row
		func(i, j int) bool { return (i+j)%2 == 0 },
		func(i, j int) bool { return i%2 == 0 },
		func(i, j int) bool { return j%3 == 0 },
		func(i, j int) bool { return (i+j)%3 == 0 },
		func(i, j int) bool { return (i/2+j/3)%2 == 0 },
		func(i, j int) bool { return i*j%2+i*j%3 == 0 },
		func(i, j int) bool { return (i*j%2+i*j%3)%2 == 0 },
		func(i, j int) bool { return ((i+j)%2+i*j%3)%2 == 0 },
	}
	mask := masks[format>>10&7]
	var bits []bool
	up := true
	for x := n - 1; x > 0; x -= 2 {
		if x == 6 {
			x--
		}
		for k := range n {
			y := k
			if up {
				y = n - 1 - k
			}
			for _, xx := range []int{x, x - 1} {
				if !ours(xx, y) {
					bits = append(bits, dark(xx, y) != mask(y, xx))
				}
			}
		}
		up = !up
	}
	var words []byte
	for i := 0; i+8 <= len(bits); i += 8 {
		var b byte
		for _, v := range bits[i : i+8] {
			b <<= 1
			if v {
				b |= 1
			}
		}
		words = append(words, b)
	}
	return words
}

// Published: ISO/IEC 18004, 7.4 to 7.9 (from memory): read back by its own
// rules, a code of one block in byte mode holds the text.
func TestACodeHoldsItsText(t *testing.T) {
	for _, text := range []string{"https://shop.test:8443/enrol#7KQ2-M9XT", "fettle: job 2026-014, head of number 3, left bank, rear one"} {
		c, err := QR(text, LevelL)
		if err != nil {
			t.Fatal(err)
		}
		w := reading(t, c)
		if w[0]>>4 != 4 {
			t.Fatalf("%q is in mode %b, want bytes", text, w[0]>>4)
		}
		count := int(w[0]&15)<<4 | int(w[1]>>4)
		var got strings.Builder
		for i := range count {
			got.WriteByte(w[1+i]<<4 | w[2+i]>>4)
		}
		if got.String() != text {
			t.Errorf("read back as %q, want %q", got.String(), text)
		}
	}
}

// Law: four light modules stand about every code, and the finder pattern
// begins behind them (ISO/IEC 18004, 5.3).
func TestACodeHasItsQuietZone(t *testing.T) {
	c, err := QR("fettle", LevelH)
	if err != nil {
		t.Fatal(err)
	}
	n := c.Modules()
	for y := range n {
		for x := range n {
			if (x < 4 || y < 4 || x >= n-4 || y >= n-4) && c.Dark(x, y) {
				t.Fatalf("module %d, %d of %d lies in the quiet zone and is dark", x, y, n)
			}
		}
	}
	for i := range 7 {
		if !c.Dark(4+i, 4) || !c.Dark(4, 4+i) {
			t.Errorf("the finder pattern does not begin behind four modules")
		}
	}
}

func TestWhatNoCodeHolds(t *testing.T) {
	for text, code := range map[string]fault.Code{"": fault.Invalid, strings.Repeat("x", 4000): fault.TooLarge} {
		_, err := QR(text, LevelM)
		var f *fault.Fault
		if !errors.As(err, &f) || f.Code != code {
			t.Errorf("%d letters: %v", len(text), err)
		}
	}
}
