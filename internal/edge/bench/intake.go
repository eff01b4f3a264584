package bench

import (
	"context"
	"strconv"
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/judge/gate"
	"fettle/internal/know/strip"
)

// mostItems is how many of one thing can come in with an engine.
const mostItems = 999

// Noting is one thing of the intake as a person gives it: texts, as typed.
// Topic is one of the sorts of job; Fields are its fields by name.
type Noting struct {
	Step
	Topic   string
	Fields  map[string]string
	Parts   []string // of a hold
	Instead string   // key of the entry whose place it takes
	Strike  bool     // with Instead: nothing takes its place
}

// Note keeps one thing of the intake.
//
// Errors: every problem at once, each with the field it belongs to; a gate that
// asks for a reason stands at the field reason.
func (b *Bench) Note(ctx context.Context, in Noting) (Receipt, error) {
	return b.step(ctx, &in.Step, entry.Intake, func(j *Judged) passing {
		p := passing{}
		n := job.IntakeV1{Instead: in.Instead}
		if in.Instead != "" {
			n.Reason = in.Reason
			p.replaces(j, &in)
		}
		if !in.Strike {
			p.topic(b, j, &in, &n)
		}
		p.payload = n
		return p
	})
}

// replaces checks the entry that another is to replace.
func (p *passing) replaces(j *Judged, in *Noting) {
	if in.Reason == "" {
		p.say("reason", fault.New(fault.Invalid, "bench.no-reason"))
	}
	if written(j, in.Key) {
		return
	}
	for i := range j.Job.Intake {
		n := &j.Job.Intake[i]
		if t, _ := n.Topic(); n.Key == in.Instead && !n.Voided && (in.Strike || t == in.Topic) {
			return
		}
	}
	p.say("", fault.New(fault.Conflict, "bench.no-intake"))
}

func (p *passing) topic(b *Bench, j *Judged, in *Noting, n *job.IntakeV1) {
	f := func(name string, must bool) string { return p.text(name, in.Fields[name], must) }
	switch in.Topic {
	case job.TopicHistory:
		n.History = &job.HistoryV1{Km: p.plain(in, "km"), Hours: p.plain(in, "hours"), Opened: f("opened", false), By: f("by", false),
			Use: f("use", false), Symptoms: f("symptoms", false)}
		if *n.History == (job.HistoryV1{}) && len(p.faults) == 0 {
			p.say("km", fault.New(fault.Invalid, "bench.no-text"))
		}
	case job.TopicItem:
		count, err := strconv.Atoi(strings.TrimSpace(in.Fields["count"]))
		if err != nil || count < 0 || count > mostItems {
			p.say("count", fault.New(fault.Invalid, "bench.bad-count", "found", in.Fields["count"], "most", strconv.Itoa(mostItems)))
		}
		n.Item = &job.ItemV1{Name: f("name", true), Count: count, Missing: f("missing", false)}
	case job.TopicSaid:
		n.Said = &job.WordsV1{Text: f("text", true)}
	case job.TopicSaw:
		n.Saw = &job.WordsV1{Text: f("text", true)}
		if in.Fields["part"] != "" {
			n.Saw.Part = p.partOf(j.Layout, "part", in.Fields["part"])
		}
	case job.TopicNumber:
		n.Number = &job.NumberV1{Where: f("where", true), Text: f("text", true)}
	case job.TopicKept:
		n.Kept = &job.KeptV1{What: in.Fields["what"], Note: f("note", false)}
		if w := n.Kept.What; w != "oil" && w != "filter" {
			p.say("what", fault.New(fault.Invalid, "bench.kept-what"))
		}
	case job.TopicDrained:
		n.Drained = &job.DrainedV1{Amount: f("amount", false), Note: f("note", false)}
		if open := gate.Drains(&j.Job.Arrival); len(open) > 0 && !written(j, in.Key) {
			p.asks(&in.Step, gate.Drain, "", len(open))
		}
	case job.TopicPanel:
		n.Panel = p.panel(b, j, in)
		n.Panel.Note = f("note", false)
	case job.TopicHold:
		n.Hold = &job.HoldV1{Held: in.Fields["held"] != "no", Why: f("why", true)}
		for _, part := range in.Parts {
			if j.Layout.Component(part) == nil {
				p.say("parts", fault.New(fault.Invalid, "bench.no-part", "found", part))
			}
			n.Hold.Parts = append(n.Hold.Parts, part)
		}
	default:
		p.say("", fault.New(fault.Invalid, "bench.no-topic", "found", in.Topic))
	}
}

// plain reads a number without a unit, such as kilometres.
func (p *passing) plain(in *Noting, field string) string {
	text := strings.TrimSpace(in.Fields[field])
	if text == "" {
		return ""
	}
	q, err := unit.Parse(text, "1", in.Mark)
	if err != nil || q.N < 0 {
		p.say(field, fault.New(fault.Invalid, "bench.bad-number", "found", text))
	}
	return q.Text
}

// panel reads one value of the tests before the strip.
func (p *passing) panel(b *Bench, j *Judged, in *Noting) *job.PanelV1 {
	v := &job.PanelV1{Test: in.Fields["test"], At: in.Fields["at"], Typed: strings.TrimSpace(in.Fields["value"])}
	var test *strip.Panel
	for i := range b.library.Strip.Panel {
		if b.library.Strip.Panel[i].ID == v.Test {
			test = &b.library.Strip.Panel[i]
		}
	}
	if test == nil {
		p.say("", fault.New(fault.Invalid, "bench.no-test", "found", v.Test))
		return v
	}
	if !placed(test, j.Layout.Family.Engine.Cylinders, v.At) {
		p.say("at", fault.New(fault.Invalid, "bench.no-cylinder", "found", v.At))
	}
	dim, _ := unit.DimOf(test.Quantity)
	q, err := unit.Parse(v.Typed, in.Fields["unit"], in.Mark)
	switch {
	case v.Typed == "":
		p.say("value", fault.New(fault.Invalid, "bench.no-value"))
	case err != nil:
		for _, f := range fault.All(err) {
			p.say("value", f)
		}
	case q.Dim != dim:
		p.say("value", fault.New(fault.Invalid, "bench.wrong-unit", "found", q.Unit, "expected", strings.Join(unit.Names(dim), ", ")))
	case q.N < 0:
		p.say("value", fault.New(fault.Invalid, "bench.bad-number", "found", v.Typed))
	}
	v.Value, v.Unit = q.Text, q.Unit
	if v.Typed == q.Text || strings.Trim(v.Typed, ".,0123456789") == "" {
		v.Typed += " " + q.Unit
	}
	v.Rpm = p.plain(in, "rpm")
	return v
}

func placed(test *strip.Panel, cylinders int, at string) bool {
	for _, a := range test.At {
		if a == at {
			return true
		}
	}
	n, err := strconv.Atoi(at)
	return len(test.At) == 0 && err == nil && n >= 1 && n <= cylinders
}

// Sign puts a name under the list of contents as its writer sees it: digest is
// of the list that was shown.
func (b *Bench) Sign(ctx context.Context, in Step, name, role, digest string) (Receipt, error) {
	return b.step(ctx, &in, entry.Signed, func(j *Judged) passing {
		p := passing{}
		lines := len(j.Job.Of(job.TopicItem))
		s := job.SignedV1{Covers: job.Contents, Digest: digest, Lines: lines, Name: p.text("name", name, true), Role: role}
		if role != "customer" && role != "shop" {
			p.say("role", fault.New(fault.Invalid, "bench.sign-role"))
		}
		if lines == 0 {
			p.say("name", fault.New(fault.Conflict, "bench.nothing-to-sign"))
		} else if digest != j.Job.ContentsDigest() && !written(j, in.Key) {
			p.say("name", fault.New(fault.Conflict, "bench.list-changed"))
		}
		p.payload = s
		return p
	})
}
