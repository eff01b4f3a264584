// Package texture works out surface texture from a profile: filters, height
// parameters, the material ratio curve with the Rk family, and the angle of a
// cross-hatch in either of its two definitions.
//
// Lengths along and across the surface may have different units; parameters
// come out in the unit of the heights. Angles are radians.
//
// Definitions, editions, sources and the accuracy reached stand in
// doc/model/texture.md.
package texture

import (
	"fmt"
	"math"
)

// Profile is a trace of equally spaced heights.
type Profile struct {
	Step float64 // along the surface, from height to height
	Z    []float64
}

// Length is the length of surface that the heights stand for, one step each.
func (p Profile) Length() float64 { return p.Step * float64(len(p.Z)) }

func (p Profile) check() error {
	if !(p.Step > 0) || math.IsInf(p.Step, 1) {
		return fmt.Errorf("texture: step of %v from height to height: a positive number is needed", p.Step)
	}
	return heights(p.Z, 2)
}

func heights(z []float64, least int) error {
	if len(z) < least {
		return fmt.Errorf("texture: %d heights: at least %d are needed", len(z), least)
	}
	for i, v := range z {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("texture: height %d is %v: a finite number is needed", i, v)
		}
	}
	return nil
}

// Level takes the least-squares line out of a profile, as a stylus is never
// quite parallel to the surface.
//
// Shapes: n ≥ 2 heights -> n heights.
// Units:  kept.
// Errors: fewer than 2 heights; a value that is not finite; a step not positive.
// Source: common practice, no source.
func Level(p Profile) (Profile, error) {
	if err := p.check(); err != nil {
		return Profile{}, err
	}
	n := float64(len(p.Z))
	mid := (n - 1) / 2
	var m, xz, xx float64
	for _, z := range p.Z {
		m += z / n
	}
	for i, z := range p.Z {
		x := float64(i) - mid
		xz += x * (z - m)
		xx += x * x
	}
	out := Profile{p.Step, make([]float64, len(p.Z))}
	for i, z := range p.Z {
		out.Z[i] = z - m - xz/xx*(float64(i)-mid)
	}
	return out, nil
}
