package allocate

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/maths/assign"
)

// nodes is how many branches one question may take.
const nodes = 200_000

// mostSize bounds sizes and deviations: 10 m, or 10 t.
const mostSize = int64(1e10)

// mostOff is the deviation from which on all are equally bad, 1 mm or 1 kg: a
// part as far off is never fitted, and squares stay whole numbers that add up.
const mostOff = int64(1e6)

func square(d int64) int64 {
	d = min(max(d, -d), mostOff)
	return d * d
}

// refuse makes the fault of a part or place that cannot be taken.
func refuse(key string, pairs ...string) error { return fault.New(fault.Invalid, key, pairs...) }

// named refuses names that are missing or stand twice, for a choice is given by
// names.
func named(kind string, names []string) error {
	seen := map[string]bool{}
	for _, n := range names {
		if strings.TrimSpace(n) == "" || seen[n] {
			return refuse("fits.name", "kind", kind, "found", n)
		}
		seen[n] = true
	}
	return nil
}

// sound refuses a size that is nought or less, or beyond what is held.
func sound(name string, x Size) error {
	if x.N <= 0 || x.N > mostSize || !(x.U >= 0) || x.U > float64(mostSize) {
		return refuse("fits.size", "name", name, "found", strconv.FormatInt(x.N, 10))
	}
	for _, s := range x.Shared {
		if s.Cause == "" || s.U-s.U != 0 {
			return refuse("fits.cause", "name", name)
		}
	}
	return nil
}

// held refuses stock below nought.
func held(name string, n int) error {
	if n < 0 || n > 1_000_000 {
		return refuse("fits.stock", "name", name, "found", strconv.Itoa(n))
	}
	return nil
}

// ordered gives the places of a list by name, so that the order in which things
// were handed over never decides between equals.
func ordered[T any](list []T, name func(T) string) []int {
	at := make([]int, len(list))
	for i := range at {
		at[i] = i
	}
	slices.SortFunc(at, func(a, b int) int { return cmp.Compare(name(list[a]), name(list[b])) })
	return at
}

func list(names []string) string { return strings.Join(names, ", ") }

// pieces writes kinds with what is left of each.
func pieces(name string, n int) string { return fmt.Sprintf("%s × %d", name, n) }

func digits(n int) string { return strconv.Itoa(n) }

// tooFew says which places cannot all be served, and by which parts they could:
// err as an assignment gives it, with the names of its rows and columns.
func tooFew(err error, place, part func(i int) string) error {
	var s assign.Short
	if !errors.As(err, &s) {
		return err
	}
	var who, what []string
	for _, i := range s.Rows {
		who = append(who, place(i))
	}
	for _, j := range s.Cols {
		what = append(what, part(j))
	}
	return short(who, what)
}

// short is the fault of places that no part serves, or fewer parts than places.
func short(who, what []string) error {
	if len(what) == 0 {
		return fault.New(fault.Refused, "fits.none", "places", list(who))
	}
	return fault.New(fault.Refused, "fits.short", "places", list(who), "shelf", list(what))
}
