package assess

import "fettle/internal/maths/gum"

// Graph lets tests look behind an assessment.
func (a *Assessment) Graph() *gum.Graph { return a.e.g }

// Node of a value, for tests.
func (v *Value) Node() gum.ID { return v.node }
