package library

import (
	"maps"
	"slices"
	"strings"
	"sync"

	"fettle/internal/base/fault"
	"fettle/internal/know/running"
)

// runs are the files on engines as they run, read when first asked for.
type runs struct {
	of     map[string]*running.File
	faults fault.List
}

// Running is what is known of a family's engine as it runs; ok is false where no
// file says. No verdict leans on it, and it is no part of the family's digest.
func (l *Library) Running(family string) (*running.File, bool) {
	f, ok := l.run().of[family]
	return f, ok
}

func readRuns(files Files, l *Library) func() runs {
	return sync.OnceValue(func() runs {
		out, known := runs{of: map[string]*running.File{}}, running.Known{Source: l.cited}
		if shelf := l.Lubricants(); len(shelf.Oils) > 0 {
			known.Lubricant = func(id string) bool { _, ok := shelf.Oil(id); return ok }
		}
		for _, name := range slices.Sorted(maps.Keys(files)) {
			id, ok := strings.CutPrefix(name, "running/")
			if !ok {
				continue
			}
			f, faults := running.Read(name, files[name], known)
			out.faults = append(out.faults, faults...)
			switch {
			case f == nil:
			case f.Family+".yaml" != id:
				out.faults = append(out.faults, fault.New(fault.Invalid, "running.name", "found", f.Family).At(name, 1, 1))
			default:
				out.of[f.Family] = f
			}
		}
		return out
	})
}
