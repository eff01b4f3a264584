package assess_test

import (
	"bytes"
	"encoding/json"
	"testing"

	"fettle/internal/facts/entry"
)

// Law: what stands before the measuring moves no byte of an assessment.
func TestLawArrivalMovesNothing(t *testing.T) {
	b := truth(t, "2026-021")
	_, m := b.judge(t, 1, nil)
	with, err := json.Marshal(b.evaluate(t, m))
	if err != nil {
		t.Fatal(err)
	}
	var rest []entry.Entry
	for _, e := range m.Job {
		switch e.Kind {
		case entry.Intake, entry.Signed, entry.Tagged, entry.Cleaned, entry.Tested, entry.Overridden:
		default:
			rest = append(rest, e)
		}
	}
	if len(m.Job)-len(rest) < 50 {
		t.Fatalf("only %d entries stand before the measuring", len(m.Job)-len(rest))
	}
	m.Job = rest
	without, err := json.Marshal(b.evaluate(t, m))
	if err != nil || !bytes.Equal(with, without) {
		t.Errorf("%d bytes with, %d without: %v", len(with), len(without), err)
	}
}
