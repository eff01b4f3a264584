package demo

import (
	"encoding/json"

	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/facts/readings"
	"fettle/internal/facts/shop"
)

// Sheet is the same job as a file of readings: those that count at the end, a
// corrected one with the reason of its correction.
func Sheet(t Truth, m Made) readings.Sheet {
	out := readings.Sheet{Job: t.Job, Title: t.Title, Notes: []string{t.Note}}
	for _, p := range t.Shop.People {
		out.People = append(out.People, shop.PersonV1{Person: p.ID, Initials: p.Initials, Role: p.Role})
	}
	at := map[string]int{}
	for i := range m.Job {
		e := &m.Job[i]
		switch e.Kind {
		case entry.Reading:
			var r job.ReadingV1
			mustRead(e.Payload, &r)
			at[e.Key.String()] = len(out.Readings)
			out.Readings = append(out.Readings, readings.Row{ReadingV1: r, Person: e.Person, Time: e.Time})
		case entry.Correction:
			var c job.CorrectionV1
			mustRead(e.Payload, &c)
			c.Reading.Note = c.Reason
			out.Readings[at[c.Target]] = readings.Row{ReadingV1: c.Reading, Person: e.Person, Time: e.Time}
		}
	}
	named := t.Shop.named(out.Readings)
	for _, g := range t.Shop.Gauges {
		if named[g.ID] {
			out.Gauges = append(out.Gauges, shop.GaugeV1{Gauge: g.ID, Type: g.Type, Serial: g.Serial, Master: g.Master})
		}
	}
	return out
}

// named are the gauges of the readings, and what these are set or checked on.
func (s *Shop) named(rows []readings.Row) map[string]bool {
	named := map[string]bool{}
	for _, r := range rows {
		named[r.Gauge], named[r.Master] = true, true
	}
	for i := len(s.Gauges) - 1; i >= 0; i-- { // masters stand before what is set on them
		if g := s.Gauges[i]; named[g.ID] && g.Master != "" {
			named[g.Master] = true
		}
	}
	return named
}

func mustRead(b []byte, v any) {
	if err := json.Unmarshal(b, v); err != nil {
		panic("demo: own entry: " + err.Error())
	}
}
