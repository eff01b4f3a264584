package allocate

import (
	"errors"

	"fettle/internal/maths/assign"
)

// Serves reports whether all bearings can be served at once, within limits and by
// the rules; nothing is weighed. It is what a search for demands in conflict asks.
//
// Shapes: b bearings, s kinds of shell -> yes or no.
// Units:  nm.
// Errors: as Shells, but for bearings that cannot be served; a question that was
// not settled within the branches allowed.
// Source: as Shells.
func Serves(bearings []Bearing, shells []Shell, rules ShellRules) (bool, error) {
	if len(bearings) == 0 {
		return true, nil
	}
	if len(shells) == 0 {
		return false, nil
	}
	w, err := newShellWork(bearings, shells, rules)
	if err != nil {
		return false, err
	}
	for i := range w.pairs {
		if len(w.pairs[i]) == 0 {
			return false, nil
		}
	}
	t, _ := w.task(nil, func(pair) int64 { return 0 })
	_, err = assign.Select(t, nodes)
	if s := (assign.Scarce{}); errors.As(err, &s) {
		return false, nil
	}
	return err == nil, err
}

// Fills reports whether every hole can have a shaft of its own within limits.
//
// Shapes: n holes, m shafts -> yes or no.
// Units:  nm.
// Errors: as Pairs, but for holes that cannot be served.
// Source: as Pairs.
func Fills(holes []Hole, shafts []Shaft, rules PairRules) (bool, error) {
	if len(holes) == 0 {
		return true, nil
	}
	if len(shafts) < len(holes) {
		return false, nil
	}
	w, err := newPairWork(holes, shafts, rules)
	if err != nil {
		return false, err
	}
	_, err = assign.Min(w.matrix(-1, -1, func(int64) int64 { return 0 }))
	if s := (assign.Short{}); errors.As(err, &s) {
		return false, nil
	}
	return err == nil, err
}
