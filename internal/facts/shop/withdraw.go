package shop

import (
	"fettle/internal/facts/entry"
)

// WithdrawalV1 takes a calibration or a master check out of all results; it
// stays readable.
type WithdrawalV1 struct {
	Target string `json:"target"` // key of the entry
	Reason string `json:"reason"`
}

// Void is why an entry counts no more, who said so and when.
type Void struct {
	Reason, Person string
	Time           int64  // writer's clock, µs since 1970 UTC
	Key            string // of the withdrawal
}

// withdraw marks the entry that a withdrawal names. One that counts no more, or
// is neither calibration nor check, is not withdrawn again.
func (s *State) withdraw(r *entry.Row) bool {
	var p WithdrawalV1
	if !decode(r.Payload, &p) {
		return false
	}
	v := &Void{Reason: p.Reason, Person: r.Person, Time: r.Time, Key: r.Key.String()}
	if c, _ := s.calibration(p.Target); c != nil && c.Void == nil {
		c.Void = v
		return true
	}
	for i := range s.Checks {
		if c := &s.Checks[i]; c.Key == p.Target && c.Void == nil {
			c.Void = v
			return true
		}
	}
	return false
}

// calibration finds a calibration by the key of its entry.
func (s *State) calibration(key string) (*Calibration, *Gauge) {
	for _, g := range s.Gauges {
		for i := range g.Calibrations {
			if g.Calibrations[i].Key == key {
				return &g.Calibrations[i], g
			}
		}
	}
	return nil, nil
}

// Calibration finds a calibration by the key of its entry, and from when to when
// it is or was in force: from its date to just before the next that counts, µs
// since 1970; to is 0 where there is no next.
func (s *State) Calibration(key string) (c *Calibration, from, to int64) {
	c, g := s.calibration(key)
	if c == nil {
		return nil, 0, 0
	}
	for i := range g.Calibrations {
		if k := &g.Calibrations[i]; k.Void == nil && k.Date > c.Date && (to == 0 || k.Date <= to) {
			to = k.Date - 1
		}
	}
	return c, c.Date, to
}

// Check finds a master check by the key of its entry.
func (s *State) Check(key string) *Check {
	for i := range s.Checks {
		if s.Checks[i].Key == key {
			return &s.Checks[i]
		}
	}
	return nil
}
