package job

import (
	"testing"

	"fettle/internal/facts/entry"
)

// Law: a correction says what was really read, so it stands at the time at
// which it was read: the calibration then in force and the air of that day
// belong to it, not those of the day of the typing.
func TestLawCorrectionKeepsTheTimeOfMeasuring(t *testing.T) {
	l := &log{t: t}
	l.add(entry.JobOpened, OpenedV1{Job: "7", Title: "t", Family: "f"})
	first := l.add(entry.Reading, at("block/bore/1/H1/T", "83.021"))
	l.add(entry.Remark, RemarkV1{Text: "tea"})
	second := l.add(entry.Correction, CorrectionV1{Target: first, Reading: at("block/bore/1/H1/T", "83.012"), Reason: "digits"})
	third := l.add(entry.Correction, CorrectionV1{Target: second, Reading: at("block/bore/1/H1/T", "83.013"), Reason: "digits again"})
	s := Replay(l.rows)
	old, _ := s.Find(first)
	for _, key := range []string{second, third} {
		if r, ok := s.Find(key); !ok || r.Time != old.Time {
			t.Errorf("corrected reading stands at %d, it was taken at %d", r.Time, old.Time)
		}
	}
	if last := s.Lines[len(s.Lines)-1]; last.Time == old.Time {
		t.Error("the line of the log must keep the time of the entry")
	}
}
