package demo

import (
	"fmt"
	"slices"
	"strconv"
	"time"

	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
)

// Arrival is what a truth says of the job before it is measured: how the engine
// came in, which parts got labels, what was cleaned and tested. All of it is
// written down as it stands here, but for the tests before the strip: those
// follow from the leak that the cylinders really have.
type Arrival struct {
	At       string          `json:"at" jsonschema:"pattern=^[0-2][0-9]:[0-5][0-9]$,description=time of day one"`
	Person   string          `json:"person"`
	Device   string          `json:"device"`
	History  job.HistoryV1   `json:"history"`
	Contents []job.ItemV1    `json:"contents"`
	Signed   string          `json:"signed,omitempty" jsonschema:"description=the name under the list of contents"`
	Said     []string        `json:"said,omitempty"`
	Saw      []job.WordsV1   `json:"saw,omitempty"`
	Numbers  []job.NumberV1  `json:"numbers,omitempty"`
	Kept     []job.KeptV1    `json:"kept,omitempty"`
	Drained  string          `json:"drained,omitempty"`
	Cranking unit.Quantity   `json:"cranking,omitzero" dim:"pressure" jsonschema:"description=compression of a cylinder that leaks 4 %"`
	Oil      []OilRead       `json:"oil,omitempty"`
	Tags     []TagRound      `json:"tags,omitempty"`
	Cleaned  []CleanRound    `json:"cleaned,omitempty"`
	Tested   []TestRound     `json:"tested,omitempty"`
	Passed   []OverrideRound `json:"passed,omitempty"`
}

// OilRead is one reading of the oil pressure.
type OilRead struct {
	At       string        `json:"at"`
	Rpm      string        `json:"rpm"`
	Pressure unit.Quantity `json:"pressure" dim:"pressure"`
}

// Round is a person at a time of a day.
type Round struct {
	Day    int    `json:"day" jsonschema:"minimum=1"`
	At     string `json:"at" jsonschema:"pattern=^[0-2][0-9]:[0-5][0-9]$"`
	Person string `json:"person"`
	Device string `json:"device"`
}

// TagRound takes parts out, all of some components.
type TagRound struct {
	Round
	Of []string `json:"of"`
}

// CleanRound is one cleaning.
type CleanRound struct {
	Round
	job.CleanedV1
}

// TestRound is one test.
type TestRound struct {
	Round
	job.TestedV1
}

// OverrideRound is one gate that was passed.
type OverrideRound struct {
	Round
	job.OverriddenV1
}

// How the tests before the strip follow from the leak of a cylinder. Invented.
const (
	healthyLeak = 0.04  // part of the pressure
	lost        = 1.2e5 // Pa of compression for each tenth that leaks beside
	crankNoise  = 0.08e5
	leakNoise   = 0.004
	oilNoise    = 0.03e5
)

// arrive writes down what stands before the measuring.
func (w *walk) arrive() fault.List {
	a := w.t.Arrival
	if a == nil {
		return nil
	}
	n := &noting{walk: w, by: By{a.Person, a.Device}, now: w.moment(1, a.At)}
	n.intake(job.IntakeV1{History: &a.History})
	for i := range a.Contents {
		n.intake(job.IntakeV1{Item: &a.Contents[i]})
	}
	if a.Signed != "" {
		n.sign(a)
	}
	for _, s := range a.Said {
		n.intake(job.IntakeV1{Said: &job.WordsV1{Text: s}})
	}
	for i := range a.Saw {
		n.intake(job.IntakeV1{Saw: &a.Saw[i]})
	}
	for i := range a.Numbers {
		n.intake(job.IntakeV1{Number: &a.Numbers[i]})
	}
	n.tests(a)
	for i := range a.Kept {
		n.intake(job.IntakeV1{Kept: &a.Kept[i]})
	}
	if a.Drained != "" {
		n.intake(job.IntakeV1{Drained: &job.DrainedV1{Amount: a.Drained}})
	}
	return n.rounds(a)
}

// noting is a person who writes one thing after the other.
type noting struct {
	*walk
	by  By
	now int64
	n   int
}

func (w *walk) moment(day int, at string) int64 {
	d, _ := clock(at)
	return w.start().Truncate(24*time.Hour).AddDate(0, 0, day-1).Add(d).UnixMicro()
}

func (n *noting) note(kind entry.Kind, payload any) {
	n.n++
	n.now += 7e6
	n.put(kind, n.by, n.now, payload, "arrival", strconv.Itoa(n.n))
}

func (n *noting) intake(p job.IntakeV1) { n.note(entry.Intake, p) }

// sign puts a name under the list as it stands in the log so far.
func (n *noting) sign(a *Arrival) {
	list := &job.Arrival{}
	for i := range a.Contents {
		list.Intake = append(list.Intake, job.Noted{IntakeV1: job.IntakeV1{Item: &a.Contents[i]}})
	}
	n.note(entry.Signed, job.SignedV1{Covers: job.Contents, Digest: list.ContentsDigest(), Lines: len(a.Contents), Name: a.Signed, Role: "customer"})
}

// tests are compression, leak-down and oil pressure.
//
//	p = p₀ - 1.2 bar·(λ - 4 %)/10 %
func (n *noting) tests(a *Arrival) {
	read := func(test, at, rpm string, si float64, in string, decimals int) {
		v := unit.Format(si, in, decimals)
		n.intake(job.IntakeV1{Panel: &job.PanelV1{Test: test, At: at, Rpm: rpm, Typed: v + " " + in, Value: v, Unit: in}})
	}
	var cylinders []string
	for _, i := range n.l.Of("cylinder/leakdown") {
		cylinders = append(cylinders, n.l.Places[i].At[0])
	}
	for _, c := range cylinders {
		if !a.Cranking.IsZero() {
			leak := n.n0("cylinder/leakdown/" + c)
			read("compression", c, "", a.Cranking.SI()-lost*(leak-healthyLeak)/0.1+crankNoise*n.luck.natural("cranking", c), "bar", 1)
		}
	}
	for _, c := range cylinders {
		read("leak", c, "", max(0, n.n0("cylinder/leakdown/"+c)+leakNoise*n.luck.natural("leak", c)), "%", 0)
	}
	for _, o := range a.Oil {
		read("oil-pressure", o.At, o.Rpm, o.Pressure.SI()+oilNoise*n.luck.natural("oil", o.At), "bar", 1)
	}
}

// n0 is the true size of a place.
func (n *noting) n0(position string) float64 { return n.walk.n.size[position] }

// rounds are what other people did on other days.
func (n *noting) rounds(a *Arrival) fault.List {
	labels := job.Labels(n.t.Job, n.l.Parts())
	var faults fault.List
	for _, r := range a.Tags {
		n.by, n.now = By{r.Person, r.Device}, n.moment(r.Day, r.At)
		for _, part := range n.l.Parts() {
			if slices.ContainsFunc(r.Of, func(of string) bool { return part == of || len(part) > len(of) && part[:len(of)+1] == of+"/" }) {
				n.note(entry.Tagged, job.TaggedV1{Tag: labels[part], Part: part})
			}
		}
	}
	for i := range a.Cleaned {
		r := &a.Cleaned[i]
		n.by, n.now = By{r.Person, r.Device}, n.moment(r.Day, r.At)
		n.note(entry.Cleaned, r.CleanedV1)
		faults = append(faults, n.known(r.Part)...)
	}
	for i := range a.Tested {
		r := &a.Tested[i]
		n.by, n.now = By{r.Person, r.Device}, n.moment(r.Day, r.At)
		n.note(entry.Tested, r.TestedV1)
		faults = append(faults, n.known(r.Part)...)
	}
	for _, r := range a.Passed {
		n.by, n.now = By{r.Person, r.Device}, n.moment(r.Day, r.At)
		n.note(entry.Overridden, r.OverriddenV1)
	}
	return faults
}

// known wants a part that the engine has.
func (n *noting) known(part string) fault.List {
	if n.l.Component(part) != nil || slices.Contains(n.l.Parts(), part) {
		return nil
	}
	return fault.List{fault.New(fault.Invalid, "bench.no-part", "found", fmt.Sprint(part))}
}
