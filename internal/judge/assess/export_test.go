package assess

import "fettle/internal/maths/gum"

// Graph lets tests look behind an assessment.
func (a *Assessment) Graph() *gum.Graph { return a.e.g }

// Node of a value, for tests.
func (v *Value) Node() gum.ID { return v.node }

// NetSI is what a shared cause does to its value, formula units.
func (c *SharedCause) NetSI() float64 { return c.net }
