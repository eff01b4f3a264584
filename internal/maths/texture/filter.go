package texture

import (
	"fmt"
	"math"
)

// tail is how far the weights of the Gaussian filter are followed, in cutoffs.
// Beyond lies less than 4·10⁻⁷ of them.
const tail = 1.0

// MeanLine passes a profile through the Gaussian filter and returns the long
// waves: the waviness for λc, the primary profile for λs.
//
//	s(x) = exp[−π (x/αλc)²]/(αλc),   α = √(ln 2/π)
//	transmission of a sine of length λ:  exp[−π (αλc/λ)²], one half at λ = λc
//
// Weights are the law at whole steps, made to add up to one; near the ends,
// where part of the weight has no height, they are made to add up to one as
// well, and the outermost half cutoff is not to be trusted.
//
// Shapes: n heights, scalar -> n heights.
// Units:  cutoff in the unit of the step; heights kept.
// Errors: fewer than 2 heights; a value that is not finite; a step not positive;
// a cutoff that is not at least two steps.
// Source: ISO 16610-21:2011 (linear profile filters: Gaussian), from memory.
func MeanLine(p Profile, cutoff float64) (Profile, error) {
	if err := p.check(); err != nil {
		return Profile{}, err
	}
	if !(cutoff >= 2*p.Step) || math.IsInf(cutoff, 1) {
		return Profile{}, fmt.Errorf("texture: cutoff of %v with steps of %v: at least two steps are needed", cutoff, p.Step)
	}
	weight := make([]float64, 1+int(math.Min(tail*cutoff/p.Step, float64(len(p.Z)))))
	for k := range weight {
		x := float64(k) * p.Step / cutoff
		weight[k] = math.Exp(-math.Pi * math.Pi / math.Ln2 * x * x) // 1/α² = π/ln 2
	}
	out := Profile{p.Step, make([]float64, len(p.Z))}
	for i := range p.Z {
		var sum, all float64
		for j := max(0, i-len(weight)+1); j < min(len(p.Z), i+len(weight)); j++ {
			w := weight[max(i-j, j-i)]
			sum += w * p.Z[j]
			all += w
		}
		out.Z[i] = sum / all
	}
	return out, nil
}

// Transmission returns which part of the height of a sine the Gaussian filter
// leaves in the mean line; the rest stays in the roughness.
//
//	exp[−π (αλc/λ)²] = 2^−(λc/λ)²
//
// Shapes: scalars -> scalar.
// Units:  one for both lengths -> fraction.
// Errors: none; lengths that are not positive give 0.
// Source: ISO 16610-21:2011, from memory.
func Transmission(wave, cutoff float64) float64 {
	if !(wave > 0) || !(cutoff > 0) {
		return 0
	}
	r := cutoff / wave
	return math.Exp2(-r * r)
}

// Setting is how a surface is traced: cutoffs and lengths.
type Setting struct {
	// Long and Short are the cutoffs λc and λs; Evaluation is five cutoffs;
	// Trace adds half a cutoff for each end.
	Long, Short, Evaluation, Trace float64
}

// SettingFor returns the setting for a surface without a period whose Ra is
// about as given. Trace with it, and where the Ra found belongs to another
// setting, trace again with that one.
//
// Shapes: scalar -> setting.
// Units:  Ra m -> m.
// Errors: an Ra that is not above nought and at most 80 µm.
// Source: ISO 4288:1996 and ISO 21920-3:2021 (the same steps of Ra), ISO
// 3274:1996 for λs; from copied tables.
func SettingFor(ra float64) (Setting, error) {
	const um, mm = 1e-6, 1e-3
	if !(ra > 0 && ra <= 80*um) {
		return Setting{}, fmt.Errorf("texture: Ra of %v m: above 0 and at most 80 µm", ra)
	}
	s := Setting{Long: 8 * mm, Short: 25 * um}
	switch {
	case ra <= 0.02*um:
		s.Long, s.Short = 0.08*mm, 2.5*um
	case ra <= 0.1*um:
		s.Long, s.Short = 0.25*mm, 2.5*um
	case ra <= 2*um:
		s.Long, s.Short = 0.8*mm, 2.5*um
	case ra <= 10*um:
		s.Long, s.Short = 2.5*mm, 8*um
	}
	s.Evaluation, s.Trace = 5*s.Long, 6*s.Long
	return s, nil
}

// Roughness returns the roughness profile within the part of a trace that can
// be trusted: the trace less half a cutoff at each end. With short above nought
// waves below it are taken out first.
//
// Shapes: n heights -> about n − λc/step heights.
// Units:  cutoffs in the unit of the step; heights kept.
// Errors: as MeanLine; a trace no longer than one cutoff; short not below long.
// Source: ISO 4287:1997 and ISO 21920-2:2021 (roughness as what is left of the
// primary profile above the mean line).
func Roughness(trace Profile, long, short float64) (Profile, error) {
	return above(trace, long, short, MeanLine)
}

// PlateauRoughness is Roughness about a mean line from which deep valleys do
// not pull: valleys below a first mean line are filled up to it, and a second
// is drawn through what that makes. It is the profile for the Rk family.
//
// Shapes, Units, Errors: as Roughness.
// Source: ISO 13565-1:1996, from memory.
func PlateauRoughness(trace Profile, long, short float64) (Profile, error) {
	return above(trace, long, short, func(p Profile, cutoff float64) (Profile, error) {
		first, err := MeanLine(p, cutoff)
		if err != nil {
			return Profile{}, err
		}
		filled := Profile{p.Step, make([]float64, len(p.Z))}
		for i, z := range p.Z {
			filled.Z[i] = math.Max(z, first.Z[i])
		}
		return MeanLine(filled, cutoff)
	})
}

func above(p Profile, long, short float64, line func(Profile, float64) (Profile, error)) (Profile, error) {
	if !(short >= 0 && short < long) {
		return Profile{}, fmt.Errorf("texture: cutoffs λs %v and λc %v: λs from 0 to less than λc", short, long)
	}
	if short > 0 {
		var err error
		if p, err = MeanLine(p, short); err != nil {
			return Profile{}, err
		}
	}
	w, err := line(p, long)
	if err != nil {
		return Profile{}, err
	}
	end := int(math.Round(long / p.Step / 2))
	if len(p.Z)-2*end < 2 {
		return Profile{}, fmt.Errorf("texture: a trace %v long with a cutoff of %v: it must be longer than the cutoff", p.Length(), long)
	}
	out := Profile{Step: p.Step}
	for i := end; i < len(p.Z)-end; i++ {
		out.Z = append(out.Z, p.Z[i]-w.Z[i])
	}
	return out, nil
}
