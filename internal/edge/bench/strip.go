package bench

import (
	"context"
	"slices"
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/judge/gate"
	"fettle/internal/know/cleaning"
)

// Tag takes a part out of its place and binds a label to it; text is the label
// as scanned or typed, "" for the one that was printed for this part. A gate
// that is shut before the part, and a label that was printed for or stands on
// another, ask for a reason.
func (b *Bench) Tag(ctx context.Context, in Step, part, text string) (Receipt, error) {
	return b.step(ctx, &in, entry.Tagged, func(j *Judged) passing {
		p := passing{}
		t := job.TaggedV1{Part: strings.TrimSpace(part)}
		parts := j.Layout.Parts()
		if !slices.Contains(parts, t.Part) {
			p.say("part", fault.New(fault.Invalid, "bench.no-part", "found", t.Part))
			return p
		}
		labels := job.Labels(in.Job, parts)
		t.Tag = labels[t.Part]
		if strings.TrimSpace(text) != "" {
			p.label(j, &in, &t, text, labels)
		}
		if !written(j, in.Key) {
			for _, g := range gate.Blocking(gate.Strips(b.library.Strip.Gates, j.Layout, j.Job), component(t.Part)) {
				p.asks(&in, g.Gate.ID, "", len(g.Open))
			}
		}
		p.payload = t
		return p
	})
}

// label reads a label that was scanned at a part.
func (p *passing) label(j *Judged, in *Step, t *job.TaggedV1, text string, labels map[string]string) {
	label, ok := job.ReadLabel(text)
	if t.Tag = label; !ok {
		p.say("tag", fault.New(fault.Invalid, "bench.bad-label", "found", clipped(text)))
		return
	}
	made, known := "", false
	for part, l := range labels {
		if l == label {
			made, known = part, true
		}
	}
	if !known {
		p.say("tag", fault.New(fault.Invalid, "bench.other-label", "found", label))
		return
	}
	if on := j.Job.Wearer(label); on != "" && on != t.Part && !written(j, in.Key) {
		made = on
	}
	if made == t.Part {
		return
	}
	t.Made, t.Reason = made, in.Reason
	if in.Reason == "" {
		p.say("reason", fault.New(fault.Conflict, "bench.tag-elsewhere", "tag", label, "part", made))
	}
}

func clipped(s string) string {
	r := []rune(s)
	return string(r[:min(len(r), 40)])
}

// Override passes a gate that is shut, for a reason.
func (b *Bench) Override(ctx context.Context, in Step, id, part string) (Receipt, error) {
	return b.step(ctx, &in, entry.Overridden, func(j *Judged) passing {
		p := passing{}
		o := job.OverriddenV1{Gate: id, Reason: in.Reason}
		known := id == gate.Drain
		for _, g := range gate.Strips(b.library.Strip.Gates, j.Layout, j.Job) {
			if g.Gate.ID == id {
				known, o.Open = true, len(g.Open)
			}
		}
		if id == gate.Cleared || id == gate.Hold {
			known, o.Part = true, p.partOf(j.Layout, "part", part)
		}
		if !known {
			p.say("", fault.New(fault.Invalid, "bench.no-gate", "found", clipped(id)))
		}
		if in.Reason == "" {
			p.say("reason", fault.New(fault.Invalid, "bench.no-reason"))
		}
		p.payload = o
		return p
	})
}

// Clean says how a part was cleaned. What would destroy its material is a hard
// stop and no reason opens it; a part that is held as evidence asks for one.
func (b *Bench) Clean(ctx context.Context, in Step, c job.CleanedV1) (Receipt, error) {
	return b.step(ctx, &in, entry.Cleaned, func(j *Judged) passing {
		p := passing{}
		c.Part, c.Note, c.Reason = p.partOf(j.Layout, "part", c.Part), p.text("note", c.Note, false), ""
		comp := j.Layout.Component(component(c.Part))
		if comp == nil {
			return p
		}
		r, ok := b.library.Recipe(c.Process, comp.Material)
		switch {
		case !ok:
			p.say("process", fault.New(fault.Invalid, "bench.no-process", "found", clipped(c.Process)))
		case r.Fit == cleaning.Stop:
			p.say("process", fault.New(fault.Refused, "bench.hard-stop", "process", c.Process, "material", comp.Material, "why", r.Why.In("en")))
		}
		for _, id := range c.Checks {
			if !slices.ContainsFunc(b.library.Cleaning.Checks, func(k cleaning.Check) bool { return k.ID == id }) {
				p.say("checks", fault.New(fault.Invalid, "bench.no-check", "found", clipped(id)))
			}
		}
		if j.Job.Held(comp.ID) != nil && !written(j, in.Key) {
			p.asks(&in, gate.Hold, c.Part, 0)
		}
		p.payload = c
		return p
	})
}

// Test keeps a test for what the eye does not see. A recordable or rejecting
// result says where: at is a position, a part, or a zone of the drawing.
func (b *Bench) Test(ctx context.Context, in Step, t job.TestedV1) (Receipt, error) {
	return b.step(ctx, &in, entry.Tested, func(j *Judged) passing {
		p := passing{}
		t.Part, t.Note, t.By = p.partOf(j.Layout, "part", t.Part), p.text("note", t.Note, false), p.text("by", t.By, false)
		known := false
		for _, m := range b.library.Strip.Method {
			known = known || m.ID == t.Method
		}
		if !known {
			p.say("method", fault.New(fault.Invalid, "bench.no-method", "found", clipped(t.Method)))
		}
		if !slices.Contains(job.Results(), t.Result) {
			p.say("result", fault.New(fault.Invalid, "bench.test-result"))
		}
		marked := t.Indications
		t.Indications = nil
		for _, k := range marked {
			t.Indications = append(t.Indications, p.indication(j, t.Part, k))
		}
		if t.Result != job.NoIndication && len(t.Indications) == 0 {
			p.say("at", fault.New(fault.Invalid, "bench.no-indication"))
		}
		p.payload = t
		return p
	})
}

func (p *passing) indication(j *Judged, part string, k job.IndicationV1) job.IndicationV1 {
	k.At, k.Says = strings.TrimSpace(k.At), p.text("says", k.Says, true)
	if x, y, ok := job.Zone(k.At); ok {
		k.At, k.X, k.Y = part, x, y
		return k
	}
	if _, ok := j.Layout.Find(k.At); !ok && !slices.Contains(j.Layout.Parts(), k.At) && j.Layout.Component(k.At) == nil {
		p.say("at", fault.New(fault.Invalid, "bench.no-zone", "found", clipped(k.At)))
	}
	return k
}
