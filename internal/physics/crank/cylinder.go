package crank

import "math"

// Cylinder is a slider-crank under a bore with a clearance volume.
type Cylinder struct {
	Slider
	area, clearance float64
}

// NewCylinder makes a cylinder from its bore and its volume at top dead centre.
//
// Units:  m, m³.
// Errors: a bore not from 1 mm to 10 m; a clearance volume that is not more
// than a thousandth of the swept volume and less than a hundred times it.
func NewCylinder(s Slider, bore, clearance float64) (Cylinder, error) {
	if err := within("the bore in m", bore, 1e-3, 10); err != nil {
		return Cylinder{}, err
	}
	c := Cylinder{s, math.Pi / 4 * bore * bore, clearance}
	swept := c.Swept()
	if err := within("the clearance volume in m³", clearance, swept/1000, swept*100); err != nil {
		return Cylinder{}, err
	}
	return c, nil
}

// OfRatio makes a cylinder from its bore and its compression ratio.
//
//	V_c = V_s/(ε − 1)
//
// Units:  m, number.
// Errors: those of NewCylinder.
func OfRatio(s Slider, bore, ratio float64) (Cylinder, error) {
	if err := within("the compression ratio", ratio, 1.01, 1001); err != nil {
		return Cylinder{}, err
	}
	return NewCylinder(s, bore, math.Pi/4*bore*bore*s.Stroke()/(ratio-1))
}

// Area is that of the bore, m².
func (c Cylinder) Area() float64 { return c.area }

// Clearance is the volume at top dead centre, m³.
func (c Cylinder) Clearance() float64 { return c.clearance }

// Swept is the volume between the dead centres, m³.
func (c Cylinder) Swept() float64 { return c.area * c.Stroke() }

// Ratio is the compression ratio, (V_s + V_c)/V_c.
func (c Cylinder) Ratio() float64 { return 1 + c.Swept()/c.clearance }

// Volume is the volume above the piston and its derivative by the angle.
//
//	V = V_c + A x,  dV/dθ = A dx/dθ,  x the drop of the piston
//
// Shapes: one angle -> volume and slope.
// Units:  rad -> m³, m³/rad.
// Errors: none.
func (c Cylinder) Volume(theta float64) (volume, slope float64) {
	m := c.at(theta)
	return c.clearance + c.area*(c.top-m.x), -c.area * m.x1
}
