package texture

import (
	"fmt"
	"math"
)

// Heights are the height parameters of a roughness profile.
type Heights struct {
	// Ra is the mean height without sign, Rq the root of the mean square, both
	// over the evaluation length.
	Ra, Rq float64
	// Rp, Rv and Rz are peak, valley and peak to valley, each the mean over the
	// sampling lengths; Rzx is the largest Rz of one of them; Rt is peak to
	// valley over the evaluation length.
	Rp, Rv, Rz, Rzx, Rt float64
	// Rsk is the skewness, below nought where valleys outweigh peaks; Rku the
	// kurtosis, 3 for a normal law. Both are zero for a profile without height.
	Rsk, Rku float64
}

// HeightsOf works out height parameters. Heights are deviations from the mean
// line and are taken as they are.
//
//	Ra = (1/n) Σ|z|    Rq = √[(1/n) Σz²]
//	Rz = (1/m) Σ_lengths (max z − min z)    Rt = max z − min z over all
//	Rsk = (1/Rq³)(1/n) Σz³    Rku = (1/Rq⁴)(1/n) Σz⁴
//
// Rq, Rsk and Rku are taken over the evaluation length, after ISO 21920-2; ISO
// 4287 takes them in each sampling length and then the mean. Ra is the same
// either way.
//
// Shapes: n heights, m sampling lengths, n a multiple of m -> parameters.
// Units:  any, kept; Rsk and Rku have none.
// Errors: fewer than two heights a sampling length; n no multiple of m; a value
// that is not finite.
// Source: ISO 21920-2:2021, ISO 4287:1997, 4.1 and 4.2.
func HeightsOf(z []float64, sampling int) (Heights, error) {
	if sampling < 1 || len(z)%max(sampling, 1) != 0 || len(z) < 2*sampling {
		return Heights{}, fmt.Errorf("texture: %d heights in %d sampling lengths: as many, and at least 2, are needed in each", len(z), sampling)
	}
	if err := heights(z, 2); err != nil {
		return Heights{}, err
	}
	n, per := float64(len(z)), len(z)/sampling
	var h Heights
	top, bottom := math.Inf(-1), math.Inf(1)
	for s := range sampling {
		hi, lo := math.Inf(-1), math.Inf(1)
		for _, v := range z[s*per : (s+1)*per] {
			hi, lo = math.Max(hi, v), math.Min(lo, v)
			h.Ra += math.Abs(v) / n
		}
		h.Rp += hi / float64(sampling)
		h.Rv -= lo / float64(sampling)
		h.Rzx = math.Max(h.Rzx, hi-lo)
		top, bottom = math.Max(top, hi), math.Min(bottom, lo)
	}
	h.Rz, h.Rt = h.Rp+h.Rv, top-bottom
	// Moments are taken of heights over the largest, which no power can
	// overflow.
	big := math.Max(math.Abs(top), math.Abs(bottom))
	if big == 0 {
		return h, nil
	}
	var two, three, four float64
	for _, v := range z {
		v /= big
		two, three, four = two+v*v/n, three+v*v*v/n, four+v*v*v*v/n
	}
	h.Rq = big * math.Sqrt(two)
	h.Rsk, h.Rku = three/(two*math.Sqrt(two)), four/(two*two)
	return h, nil
}
