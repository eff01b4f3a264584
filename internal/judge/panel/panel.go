// Package panel judges the tests of an engine as it came in: which cylinder
// stands out from the others, and whether hot oil pressure is low. It gives no
// verdict: nothing here has limits of the engine's maker.
package panel

import (
	"slices"
	"strconv"

	"fettle/internal/base/unit"
	"fettle/internal/facts/job"
	"fettle/internal/know/strip"
	"fettle/internal/maths/summary"
)

// Spreads is how many robust spreads an outlier lies from the median.
const Spreads = 3

// Sheet is one test with its readings.
type Sheet struct {
	Test   strip.Panel
	Cells  []Cell // one a cylinder or condition, in order
	Median float64
	Limit  float64 // how far from the median an outlier lies; 0 where too few were read
}

// Cell is one place of a test.
type Cell struct {
	At   string
	Read *job.Noted // the last reading, nil where there is none
	Odd  int        // -1 low, 1 high against the others; 0 among them
	Low  bool       // hot oil pressure under what its speed asks for
	Bad  bool       // odd on the side that means wear, or low
}

// Of makes the sheets of a job. The last reading of a place counts.
//
// Shapes: readings -> a sheet a test of the strip file.
// Units:  Median and Limit in formula units.
// Errors: none; a test read at fewer than three cylinders marks nothing.
// Source: the rule of summary.Odd with three spreads; doc/model/panel.md.
func Of(tests []strip.Panel, cylinders int, a *job.Arrival) []Sheet {
	var out []Sheet
	for _, t := range tests {
		s := Sheet{Test: t}
		at := t.At
		if len(at) == 0 {
			for i := range cylinders {
				at = append(slices.Clip(at), strconv.Itoa(i+1))
			}
		}
		read := map[string]*job.Noted{}
		for _, n := range a.Of(job.TopicPanel) {
			if n.Panel.Test == t.ID {
				read[n.Panel.At] = n
			}
		}
		for _, name := range at {
			s.Cells = append(s.Cells, Cell{At: name, Read: read[name]})
		}
		if len(t.At) == 0 {
			s.compare()
		} else {
			s.hot()
		}
		out = append(out, s)
	}
	return out
}

// compare marks the cylinders that stand out.
func (s *Sheet) compare() {
	var v []float64
	var at []int
	for i, c := range s.Cells {
		if c.Read != nil {
			v = append(v, c.Read.Quantity.SI())
			at = append(at, i)
		}
	}
	if len(v) < 3 {
		return
	}
	apart := s.Test.Apart.SI()
	if !s.Test.ApartPart.IsZero() {
		apart = s.Test.ApartPart.SI() * summary.Median(v)
	}
	good := 1
	if s.Test.Bad == "high" {
		good = -1
	}
	odd, m, err := summary.Odd(v, Spreads, apart, good)
	if err != nil {
		return // all are nought: nobody stands out
	}
	s.Median, s.Limit = m.Median, max(Spreads*m.Spread, apart)
	for k, i := range at {
		c := &s.Cells[i]
		c.Odd = odd[k]
		c.Bad = c.Odd < 0 && s.Test.Bad == "low" || c.Odd > 0 && s.Test.Bad == "high"
	}
}

// hot marks a pressure of the hot engine that is low for its speed.
//
//	p < p₁₀₀₀·n/1000
func (s *Sheet) hot() {
	for i := range s.Cells {
		c := &s.Cells[i]
		if c.Read == nil || c.Read.Panel.Rpm == "" || !slices.Contains(s.Test.Hot, c.At) {
			continue
		}
		n, err := unit.Parse(c.Read.Panel.Rpm, "rpm", '.')
		if err != nil {
			continue
		}
		rpm := unit.FromSI(n.SI(), "rpm")
		c.Low = c.Read.Quantity.SI() < s.Test.PerRpm.SI()*rpm/1000
		c.Bad = c.Low
	}
}
