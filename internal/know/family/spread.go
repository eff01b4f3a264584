package family

import "strings"

// Spread lists the dimensions along which a component without indices of its
// own can be spoken of: the cylinders, bridges, mains or pins that its
// characteristics run over. A face with the cylinders under it has cylinders
// and bridges.
func (l *Layout) Spread(component string) []string {
	comp := l.parts[component]
	if comp == nil || len(comp.Per) > 0 {
		return nil
	}
	has := map[string]bool{}
	for i := range l.Family.Characteristics {
		if c := &l.Family.Characteristics[i]; c.Component() == component {
			for _, d := range c.Per {
				has[d] = true
			}
		}
	}
	if comp.Drawing == "face" || comp.Drawing == "block" {
		has["cyl"], has["bridge"] = true, true
	}
	var out []string
	for _, d := range []string{"cyl", "bridge", "main", "pin"} {
		if dim := l.Dims[d]; has[d] && dim != nil && len(dim.Values) > 0 {
			out = append(out, d)
		}
	}
	return out
}

// Spot finds a part by its name: a component and as many of its indices as are
// given, each one of its dimension's values.
func (l *Layout) Spot(part string) (comp *Component, at []string, ok bool) {
	words := strings.Split(part, "/")
	comp = l.parts[words[0]]
	if comp == nil || len(words)-1 > len(comp.Per) {
		return nil, nil, false
	}
	for i, v := range words[1:] {
		if d := l.Dims[comp.Per[i]]; d == nil || !d.is(v) {
			return nil, nil, false
		}
	}
	return comp, words[1:], true
}

// is reports whether v is a value, not a group, of the dimension.
func (d *Dim) is(v string) bool {
	for _, w := range d.Values {
		if w == v {
			return true
		}
	}
	return false
}

// On reports whether "dimension/value" is a place at which a component without
// indices can be spoken of.
func (l *Layout) On(component, at string) bool {
	dim, v, ok := strings.Cut(at, "/")
	if !ok {
		return false
	}
	for _, d := range l.Spread(component) {
		if d == dim {
			return l.Dims[d].is(v)
		}
	}
	return false
}
