package demo

import (
	"path"
	"slices"
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/know/family"
)

// like reports whether a characteristic fits a pattern in which a star stands
// for any run of letters without a slash.
func like(pattern, id string) bool {
	if !strings.Contains(pattern, "*") {
		return pattern == id
	}
	ok, err := path.Match(pattern, id)
	return ok && err == nil
}

func anyLike(patterns []string, id string) bool {
	return slices.ContainsFunc(patterns, func(p string) bool { return like(p, id) })
}

// patterns checks that every pattern of the truth fits a characteristic of the
// family, so that a renamed one does not silently lose its rule.
func (t *Truth) patterns(l *family.Layout) fault.List {
	var out fault.List
	check := func(in string, ofs ...string) {
		for _, of := range ofs {
			fits := slices.ContainsFunc(l.Family.Characteristics, func(c family.Characteristic) bool { return like(of, c.ID) })
			if !fits {
				out = append(out, fault.New(fault.Invalid, "demo.fits-nothing", "in", in, "of", of))
			}
		}
	}
	for _, s := range t.Sessions {
		check("sessions", s.Of...)
	}
	for _, x := range t.Leave {
		check("leave", x.Of)
	}
	for _, u := range t.Uses {
		check("uses", u.Of)
	}
	for _, r := range t.Repeats {
		check("repeats", r.Of)
	}
	for _, h := range t.Healthy {
		check("healthy", h.Of)
	}
	return out
}
