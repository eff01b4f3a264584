package familytest

import (
	"bytes"
	"testing"

	"fettle/internal/judge/compute"
	"fettle/internal/know/family"
)

// Law: every engine of the grid is a valid family, and the same bytes twice.
func TestEveryEngineOfTheGridIsValid(t *testing.T) {
	v := family.Validator()
	register := compute.NewRegister()
	meets := map[[2]string]bool{}
	for _, s := range Grid() {
		text := s.Text()
		l, faults := family.Parse(s.String()+".yaml", text, v, family.Known{Relations: register.Signature})
		if len(faults) > 0 {
			t.Fatalf("%s: %v", s, faults[0])
		}
		if l.Family.Engine.Cylinders != s.Cylinders || len(l.Of("valve/stem")) != s.Cylinders*(s.Inlet+s.Exhaust) {
			t.Errorf("%s: %d cylinders, %d valves", s, l.Family.Engine.Cylinders, len(l.Of("valve/stem")))
		}
		if !bytes.Equal(text, s.Text()) {
			t.Errorf("%s: two runs differ", s)
		}
		meets[[2]string{s.Layout, s.Valvetrain}], meets[[2]string{s.Layout, s.Drive}] = true, true
	}
	if len(meets) != 18 {
		t.Errorf("the grid joins %d of 18 pairs of layout with valve train and drive", len(meets))
	}
}

// Law: all engines are 16 × 4 × 3 × 3, none twice, and each valve train meets
// each drive in each layout with each number of valves.
func TestAllEnginesAreThere(t *testing.T) {
	names, meets := map[string]bool{}, map[[4]string]bool{}
	for _, s := range All() {
		names[s.String()] = true
		meets[[4]string{s.Layout, s.Valvetrain, s.Drive, string(rune('0' + s.Inlet + s.Exhaust))}] = true
	}
	if len(names) != 16*4*3*3 || len(meets) != 3*3*3*4 {
		t.Errorf("%d engines, %d meetings", len(names), len(meets))
	}
}
