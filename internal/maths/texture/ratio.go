package texture

import (
	"math"
	"slices"
)

// Core is the Rk family: what the material ratio curve of a surface looks like
// when it is cut into peaks, core and valleys.
type Core struct {
	// Rk is the depth of the core, which carries; Rpk the height of the peaks
	// above it, which run in; Rvk the depth of the valleys, which hold oil.
	Rk, Rpk, Rvk float64
	// Mr1 and Mr2 are the material ratios, as fractions, at which the peaks end
	// and the valleys begin.
	Mr1, Mr2 float64
}

// window is the share of the curve that the line through the core is fitted to.
const window = 0.40

// CoreOf works out the Rk family of a roughness profile; after ISO 13565 that
// is PlateauRoughness over the evaluation length.
//
//	curve: the share of heights above a level, from the highest down
//	line:  least squares of height over the 40 % of the curve whose secant is
//	       the flattest, the first of equals
//	Rk = line at 0 % − line at 100 %;  Mr1, Mr2: curve at those two heights
//	Rpk = 2 A₁/Mr1,  Rvk = 2 A₂/(1 − Mr2)
//
// with A₁ the area of the curve above the line's height at 0 %, A₂ that below
// its height at 100 %: triangles of equal area. Equal means within a billionth
// of the whole height. A profile without height is all core.
//
// Shapes: n ≥ 10 heights -> parameters.
// Units:  any, kept; ratios have none.
// Errors: fewer than ten heights; a value that is not finite.
// Source: ISO 13565-2:1996, clause 4.
func CoreOf(z []float64) (Core, error) {
	if err := heights(z, 10); err != nil {
		return Core{}, err
	}
	c := slices.Clone(z)
	slices.SortFunc(c, func(a, b float64) int {
		switch {
		case a > b:
			return -1
		case a < b:
			return 1
		}
		return 0
	})
	n := len(c)
	whole := c[0] - c[n-1]
	if whole == 0 {
		return Core{Mr2: 1}, nil
	}
	// Height i stands in the middle of its share of the curve, (i + ½)/n.
	span := int(math.Round(window * float64(n)))
	first, least := 0, math.Inf(1)
	for i := 0; i+span < n; i++ {
		if fall := c[i] - c[i+span]; fall < least-1e-9*whole {
			first, least = i, fall
		}
	}
	upper, lower := line(c, first, first+span)
	k := Core{Rk: upper - lower}
	// A level core belongs to the core whatever the rounding of its line.
	k.Mr1, k.Mr2 = crossing(c, upper+1e-12*whole), crossing(c, lower-1e-12*whole)
	var peaks, valleys float64
	for _, v := range c {
		peaks += math.Max(0, v-upper) / float64(n)
		valleys += math.Max(0, lower-v) / float64(n)
	}
	if k.Mr1 > 0 {
		k.Rpk = 2 * peaks / k.Mr1
	}
	if k.Mr2 < 1 {
		k.Rvk = 2 * valleys / (1 - k.Mr2)
	}
	return k, nil
}

// line fits heights first … last of the curve and returns the line at 0 and at
// 100 %.
func line(c []float64, first, last int) (upper, lower float64) {
	n := float64(len(c))
	count := float64(last - first + 1)
	mid := (float64(first+last)/2 + 0.5) / n
	var m, xz, xx float64
	for i := first; i <= last; i++ {
		m += c[i] / count
	}
	for i := first; i <= last; i++ {
		x := (float64(i)+0.5)/n - mid
		xz += x * (c[i] - m)
		xx += x * x
	}
	slope := xz / xx
	return m - slope*mid, m + slope*(1-mid)
}

// crossing is where the curve falls to a level, straight between its heights.
func crossing(c []float64, level float64) float64 {
	n := len(c)
	i, _ := slices.BinarySearchFunc(c, level, func(v, level float64) int {
		if v > level {
			return -1
		}
		return 1
	})
	switch {
	case i == 0:
		return 0
	case i == n:
		return 1
	}
	return (float64(i) - 0.5 + (c[i-1]-level)/(c[i-1]-c[i])) / float64(n)
}

// MaterialRatio returns which share of the heights lies above a level.
//
// Shapes: n heights, scalar -> scalar.
// Units:  level in the unit of the heights -> fraction.
// Errors: no heights; a value that is not finite.
// Source: ISO 4287:1997, 4.5 (material ratio).
func MaterialRatio(z []float64, level float64) (float64, error) {
	if err := heights(z, 1); err != nil {
		return 0, err
	}
	var above float64
	for _, v := range z {
		if v > level {
			above++
		}
	}
	return above / float64(len(z)), nil
}
