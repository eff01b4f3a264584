package gum

import "math"

// zigguratTail is where the lowest of 256 layers ends.
const zigguratTail = 3.6541528853610088

// layers are boxes of one area that cover half of exp(−x²/2), the lowest with
// the tail.
type layers struct {
	edge, height [257]float64 // right edge, falling; height of its lower side
	step         [256]float64 // edge over 2⁵²
}

var ziggurat = stack()

// stack computes the layers; nothing changes them afterwards.
func stack() *layers {
	f := func(x float64) float64 { return math.Exp(-x * x / 2) }
	r := zigguratTail
	area := r*f(r) + math.Sqrt(math.Pi/2)*math.Erfc(r/math.Sqrt2)
	z := &layers{}
	z.edge[0], z.edge[1], z.height[1] = area/f(r), r, f(r)
	for i := 2; i < 256; i++ {
		z.height[i] = z.height[i-1] + area/z.edge[i-1]
		z.edge[i] = math.Sqrt(-2 * math.Log(z.height[i]))
	}
	z.height[256] = 1
	for i := range z.step {
		z.step[i] = z.edge[i] / (1 << 52)
	}
	return z
}
