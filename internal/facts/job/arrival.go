package job

import (
	"crypto/sha256"
	"encoding/hex"
	"slices"
	"strconv"
	"strings"

	"fettle/internal/base/unit"
	"fettle/internal/facts/entry"
)

// Arrival is what a job knows of its engine besides readings: how it came in,
// what was tagged, cleaned and tested, and which gates were passed.
type Arrival struct {
	Intake     []Noted // in the order of the log
	Signatures []Signed
	Tags       []Tagged
	Cleanings  []Cleaned
	Tests      []Tested
	Overrides  []Overridden
}

// Noted is an intake entry with its author.
type Noted struct {
	IntakeV1
	Author
	Quantity unit.Quantity // of a panel reading
	Voided   bool          // a later entry stands in its place, or struck it out
}

// Author is who says so, when, in which entry.
type Author struct {
	Key    string
	Seq    int64
	Person string
	Time   int64
}

// Signed is a signature with its author.
type Signed struct {
	SignedV1
	Author
}

// Tagged is a label on a part with its author.
type Tagged struct {
	TaggedV1
	Author
}

// Cleaned is a cleaning with its author.
type Cleaned struct {
	CleanedV1
	Author
}

// Tested is a test with its author.
type Tested struct {
	TestedV1
	Author
}

// Overridden is a gate that was passed, with its author.
type Overridden struct {
	OverriddenV1
	Author
}

// The results of a test, in the words of the trade.
const (
	NoIndication = "none"
	NotRelevant  = "not-relevant"
	Recordable   = "recordable"
	Rejected     = "reject"
)

// Results lists them.
func Results() []string { return []string{NoIndication, NotRelevant, Recordable, Rejected} }

// Signing of the list of contents.
const Contents = "contents"

func (a *Arrival) withRoom(n int) Arrival {
	return Arrival{Intake: withRoom(a.Intake, n), Signatures: slices.Clip(a.Signatures), Tags: slices.Clip(a.Tags),
		Cleanings: slices.Clip(a.Cleanings), Tests: slices.Clip(a.Tests), Overrides: slices.Clip(a.Overrides)}
}

// arrive folds the kinds that stand before the measuring.
func (s *State) arrive(r *entry.Row, l *Line) bool {
	by := Author{r.Key.String(), r.Seq, r.Person, r.Time}
	switch r.Kind {
	case entry.Intake:
		return s.note(r, l, by)
	case entry.Signed:
		var p SignedV1
		if !decode(r.Payload, &p) {
			return false
		}
		l.Text, l.About = p.Name, p.Covers
		if p.Covers != Contents || p.Digest != s.ContentsDigest() || strings.TrimSpace(p.Name) == "" {
			return false
		}
		s.Signatures = append(s.Signatures, Signed{p, by})
	case entry.Tagged:
		var p TaggedV1
		if !decode(r.Payload, &p) {
			return false
		}
		l.About, l.Text, l.Reason = p.Part, p.Tag, p.Reason
		if p.Part == "" || p.Tag == "" || p.Made != "" && strings.TrimSpace(p.Reason) == "" {
			return false
		}
		s.Tags = append(s.Tags, Tagged{p, by})
	case entry.Cleaned:
		var p CleanedV1
		if !decode(r.Payload, &p) {
			return false
		}
		l.About, l.Text, l.Reason = p.Part, p.Process, p.Reason
		if p.Part == "" || p.Process == "" {
			return false
		}
		s.Cleanings = append(s.Cleanings, Cleaned{p, by})
	case entry.Tested:
		var p TestedV1
		if !decode(r.Payload, &p) {
			return false
		}
		l.About, l.Text, l.Reason = p.Part, p.Method+" "+p.Result, p.Note
		if p.Part == "" || p.Method == "" || !slices.Contains(Results(), p.Result) {
			return false
		}
		s.Tests = append(s.Tests, Tested{p, by})
	case entry.Overridden:
		var p OverriddenV1
		if !decode(r.Payload, &p) {
			return false
		}
		l.About, l.Text, l.Reason = p.Part, p.Gate, p.Reason
		if p.Gate == "" || strings.TrimSpace(p.Reason) == "" {
			return false
		}
		s.Overrides = append(s.Overrides, Overridden{p, by})
	default:
		return s.trade(r, l, by)
	}
	return true
}

// note keeps one thing of the intake, or lets it take the place of another of
// the same sort.
func (s *State) note(r *entry.Row, l *Line, by Author) bool {
	var p IntakeV1
	if !decode(r.Payload, &p) {
		return false
	}
	n := Noted{IntakeV1: p, Author: by}
	topic, parts := n.Topic()
	l.About, l.Text, l.Reason = topic, n.words(), p.Reason
	if p.Panel != nil {
		q, err := unit.Parse(p.Panel.Value, p.Panel.Unit, '.')
		if n.Quantity = q; err != nil || p.Panel.Unit == "" {
			return false
		}
	}
	if p.Instead == "" {
		if parts == 1 {
			s.Intake = append(s.Intake, n)
		}
		return parts == 1
	}
	i := slices.IndexFunc(s.Intake, func(o Noted) bool { return o.Key == p.Instead && !o.Voided })
	if i < 0 || parts > 1 || strings.TrimSpace(p.Reason) == "" {
		return false
	}
	if was, _ := s.Intake[i].Topic(); parts == 1 && was != topic {
		return false
	}
	s.Intake[i].Voided = true
	if parts == 0 {
		l.About, _ = s.Intake[i].Topic()
		l.Text = s.Intake[i].words()
		return true
	}
	s.Intake = append(s.Intake, n)
	return true
}

// The sorts of an intake entry.
const (
	TopicHistory = "history"
	TopicItem    = "item"
	TopicSaid    = "said"
	TopicSaw     = "saw"
	TopicNumber  = "number"
	TopicKept    = "kept"
	TopicDrained = "drained"
	TopicPanel   = "panel"
	TopicHold    = "hold"
)

// Topic says which sort of thing was noted, and how many parts the entry has.
func (n *Noted) Topic() (topic string, parts int) {
	for _, t := range []struct {
		name string
		has  bool
	}{{TopicHistory, n.History != nil}, {TopicItem, n.Item != nil}, {TopicSaid, n.Said != nil}, {TopicSaw, n.Saw != nil}, {TopicNumber, n.Number != nil},
		{TopicKept, n.Kept != nil}, {TopicDrained, n.Drained != nil}, {TopicPanel, n.Panel != nil}, {TopicHold, n.Hold != nil}} {
		if t.has {
			topic = t.name
			parts++
		}
	}
	return topic, parts
}

// words is what was noted, as it stands in a line of the log.
func (n *Noted) words() string {
	list := func(s ...string) string {
		return strings.Join(slices.DeleteFunc(s, func(x string) bool { return x == "" }), " · ")
	}
	switch {
	case n.History != nil:
		h := n.History
		return list(h.Km, h.Hours, h.Opened, h.By, h.Use, h.Symptoms)
	case n.Item != nil:
		return list(n.Item.Name, "× "+strconv.Itoa(n.Item.Count), n.Item.Missing)
	case n.Said != nil:
		return n.Said.Text
	case n.Saw != nil:
		return list(n.Saw.Text, n.Saw.Part)
	case n.Number != nil:
		return list(n.Number.Where, n.Number.Text)
	case n.Kept != nil:
		return list(n.Kept.What, n.Kept.Note)
	case n.Drained != nil:
		return list(n.Drained.Amount, n.Drained.Note)
	case n.Panel != nil:
		return list(n.Panel.Test+" "+n.Panel.At, n.Panel.Value+" "+n.Panel.Unit)
	case n.Hold != nil:
		return list(n.Hold.Why, strings.Join(n.Hold.Parts, ", "))
	}
	return ""
}

// Of lists what was noted of one sort and still stands.
func (a *Arrival) Of(topic string) []*Noted {
	var out []*Noted
	for i := range a.Intake {
		if t, _ := a.Intake[i].Topic(); t == topic && !a.Intake[i].Voided {
			out = append(out, &a.Intake[i])
		}
	}
	return out
}

// History is the condition history as it stands, nil where none is noted.
func (a *Arrival) History() *Noted { return last(a.Of(TopicHistory)) }

func last(list []*Noted) *Noted {
	if len(list) == 0 {
		return nil
	}
	return list[len(list)-1]
}

// Held reports the hold that a component is under, nil for none. The last word
// on it counts.
func (a *Arrival) Held(component string) *Noted {
	var now *Noted
	for _, n := range a.Of(TopicHold) {
		if len(n.Hold.Parts) == 0 || slices.Contains(n.Hold.Parts, component) {
			now = n
		}
	}
	if now == nil || !now.Hold.Held {
		return nil
	}
	return now
}

// Kept reports whether a thing was kept: oil, filter.
func (a *Arrival) Kept(what string) bool {
	return slices.ContainsFunc(a.Of(TopicKept), func(n *Noted) bool { return n.Kept.What == what })
}

// Tag is the label that a part carries, nil for none: the last one.
func (a *Arrival) Tag(part string) *Tagged {
	for i := len(a.Tags) - 1; i >= 0; i-- {
		if a.Tags[i].Part == part {
			return &a.Tags[i]
		}
	}
	return nil
}

// Overridden finds the last override of a gate for a part, nil for none.
func (a *Arrival) Overridden(gate, part string) *Overridden {
	for i := len(a.Overrides) - 1; i >= 0; i-- {
		if a.Overrides[i].Gate == gate && a.Overrides[i].Part == part {
			return &a.Overrides[i]
		}
	}
	return nil
}

// ContentsDigest is what a signature on the list of contents covers: the SHA-256
// of the canonical JSON {"contents":[…]} of the lines that stand, in order.
func (a *Arrival) ContentsDigest() string {
	list := []ItemV1{}
	for _, n := range a.Of(TopicItem) {
		list = append(list, *n.Item)
	}
	b, err := entry.Canonical(map[string][]ItemV1{Contents: list})
	if err != nil {
		return "" // a text that is no Unicode, which no entry can hold
	}
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:])
}

// Signature is the last signature on the contents; holds says whether the list
// is still as it was signed.
func (a *Arrival) Signature() (s *Signed, holds bool) {
	if len(a.Signatures) == 0 {
		return nil, false
	}
	s = &a.Signatures[len(a.Signatures)-1]
	return s, s.Digest == a.ContentsDigest()
}

// Wearer is the part that carries a label now, "" for none.
func (a *Arrival) Wearer(tag string) string {
	for i := len(a.Tags) - 1; i >= 0; i-- {
		if t := &a.Tags[i]; t.Tag == tag && a.Tag(t.Part).Tag == tag {
			return t.Part
		}
	}
	return ""
}
