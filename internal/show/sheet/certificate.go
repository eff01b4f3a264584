package sheet

import (
	"strings"

	"fettle/internal/know/finding"
	"fettle/internal/show/plot"
)

// certificate sets the first sheet: which engine, what was measured, by whom,
// what came of it, by which rule, and what this record does and does not claim.
func (b *book) certificate() {
	a, r := b.Case.Assessment, b.r
	b.again = r.T("sheet.record")
	b.turn("")
	b.doc.Bookmark(clean(r.T("sheet.certificate")), 0, 0)
	b.y += 4
	b.c.Text(plot.Pt(left, b.y), plot.Text{S: r.T("sheet.record"), Size: plot.SizeText, Base: plot.CapTop, Ink: plot.InkThin})
	b.y += 26
	for _, line := range plot.Wrap(clean(a.Title), sizeHuge, plot.Bold, wide, 2) {
		b.c.Text(plot.Pt(left, b.y), plot.Text{S: line, Size: sizeHuge, Weight: plot.Bold, Base: plot.CapTop})
		b.y += 36
	}
	b.c.Text(plot.Pt(left, b.y), plot.Text{S: plot.Fit(clean(b.Case.Layout.Family.Name.In(r.Lang)), plot.SizeText, plot.Regular, wide), Size: plot.SizeText, Base: plot.CapTop})
	b.y += 26
	b.invented()
	b.rule(plot.Wide)
	b.y += 16
	from := b.y
	b.facts(wide*0.56 - 16)
	low := b.y
	b.y = from
	b.tally(left+wide*0.60, wide*0.40)
	b.y = max(low, b.y)
	b.say("sheet.rule.title", ruleText(b))
	b.origins()
	b.claims()
	if free := bottom - 46 - b.y; free > 200 {
		b.y += 8
		b.engine(free)
	}
	b.signatures()
}

// invented says that nothing in this record is real, where that is so.
func (b *book) invented() {
	if !b.Case.Assessment.Invented {
		return
	}
	t := plot.Text{S: b.r.T("sheet.invented"), Size: plot.SizeSmall, Weight: plot.Bold, Ink: plot.InkOut}
	h := 15*float64(lines(t.S, t.Size, t.Weight, wide-24)) + 11
	b.c.Rect(left, b.y, wide, h, plot.Style{Stroke: plot.InkOut, Line: plot.Narrow})
	b.y += 9
	b.para(left+12, wide-24, t, 15)
	b.y += 14
}

// facts sets who, when and with what.
func (b *book) facts(w float64) {
	a, r, c := b.Case.Assessment, b.r, b.Case
	who, temps, when := c.Circumstances(r, "")
	const indent = 108
	put := func(key, text string) { b.pair(left, w, indent, r.T("sheet.fact."+key), text) }
	put("job", a.Job)
	put("engine", c.Job.Engine)
	put("use", c.Job.Use)
	put("family", a.Family)
	put("digest", short(a.Digest))
	put("opened", r.Date(c.Job.First))
	put("measured", when)
	put("people", who)
	put("temperature", temps)
	put("readings", r.T("sheet.fact.count", "readings", r.Int(a.Tally.Readings), "derived", r.Int(a.Tally.Derived), "free", r.Int(a.Tally.NoLimit)))
	put("scope", b.scope())
	put("job-head", r.T("sheet.fact.head", "head", c.Job.Head.Short(), "entries", r.Int(int(c.Job.Seq))))
	if c.Shop != nil {
		put("shop-head", r.T("sheet.fact.head", "head", c.Shop.Head.Short(), "entries", r.Int(int(c.Shop.Seq))))
	}
}

// short is the beginning of a digest.
func short(digest string) string {
	if len(digest) > 16 {
		return digest[:16]
	}
	return digest
}

// scope names the systems of this job, "" where it is the whole engine.
func (b *book) scope() string {
	var out []string
	for _, s := range b.Case.Job.Scope {
		out = append(out, b.word("page.system."+s, s))
	}
	return strings.Join(out, ", ")
}

// word says a key, or the fallback where no language knows it.
func (b *book) word(key, fallback string) string {
	if b.r.Book.Has(key) {
		return b.r.T(key)
	}
	return fallback
}

// tally sets the four verdicts with their counts, then the findings by weight.
func (b *book) tally(x, w float64) {
	a, r := b.Case.Assessment, b.r
	for _, t := range []struct {
		v plot.Verdict
		n int
	}{{plot.Accept, a.Tally.Accept}, {plot.Undecided, a.Tally.Undecided}, {plot.Reject, a.Tally.Reject}, {plot.Unmeasured, a.Tally.Unmeasured}} {
		plot.Mark{Verdict: t.v, Word: clean(r.T("page.verdict." + string(t.v)))}.Draw(b.c, plot.Pt(x, b.y))
		b.c.Text(plot.Pt(x+w, b.y+plot.MarkHeight/2), plot.Text{S: r.Int(t.n), Size: plot.SizeText, Weight: plot.Bold, Anchor: plot.End, Base: plot.CapMiddle})
		b.y += 26
		b.c.Line(plot.Pt(x, b.y-3), plot.Pt(x+w, b.y-3), plot.Style{Stroke: plot.InkFaint, Line: plot.Hair})
	}
	b.y += 8
	n := map[finding.Severity]int{}
	for i := range a.Findings {
		n[a.Findings[i].Severity]++
	}
	for _, s := range []finding.Severity{finding.Act, finding.Watch, finding.Note} {
		b.para(x, w, plot.Text{S: r.N("sheet.findings."+string(s), n[s]), Weight: weight(s == finding.Act && n[s] > 0)}, 15)
	}
	open := 0
	for i := range a.Questions {
		if a.Questions[i].Answer == "" {
			open++
		}
	}
	b.para(x, w, plot.Text{S: r.N("sheet.questions.open", open)}, 15)
}

func weight(bold bool) plot.Weight {
	if bold {
		return plot.Bold
	}
	return plot.Regular
}

// say sets a small heading with a text under it.
func (b *book) say(key, text string) {
	b.room(40)
	b.y += 7
	b.c.Text(plot.Pt(left, b.y), plot.Text{S: b.r.T(key), Size: 12, Weight: plot.Bold, Base: plot.CapTop})
	b.y += 15
	b.para(left, wide, plot.Text{S: text, Size: 10.2}, 12.4)
}

// ruleText is the decision rule with its source.
func ruleText(b *book) string {
	said, source := b.Case.Rule(b.r)
	return b.r.T("sheet.rule", "rule", said, "source", source)
}

// origins says how well the limits are supported that were applied here.
func (b *book) origins() {
	n := map[string]int{}
	var order []string
	for i := range b.Case.Assessment.Values {
		if l := b.Case.Assessment.Values[i].Limit; l != nil {
			s := string(l.Status)
			if n[s] == 0 {
				order = append(order, s)
			}
			n[s]++
		}
	}
	var parts []string
	for _, s := range order {
		parts = append(parts, b.r.T("sheet.origin", "n", b.r.Int(n[s]), "status", b.Case.Status(b.r, s)))
	}
	if len(parts) > 0 {
		b.say("sheet.origins.title", b.r.T("sheet.origins", "list", strings.Join(parts, "; ")))
	}
}

// claims says what this record is good for and what it is not.
func (b *book) claims() {
	b.say("sheet.claims.title", "")
	for _, k := range []string{"does", "guard", "not", "sealed"} {
		b.room(15)
		b.c.Line(plot.Pt(left, b.y+4), plot.Pt(left+7, b.y+4), plot.Style{Stroke: plot.InkPen, Line: plot.Narrow})
		b.para(left+14, wide-14, plot.Text{S: b.r.T("sheet.claims." + k), Size: 10.2}, 12.4)
	}
}

// signatures leaves room for two hands at the foot of the sheet.
func (b *book) signatures() {
	if b.y+34 > bottom {
		return
	}
	y, w := bottom-22, (wide-32)/2
	for i, k := range []string{"sheet.sign.shop", "sheet.sign.owner"} {
		x := left + float64(i)*(w+32)
		b.c.Line(plot.Pt(x, y), plot.Pt(x+w, y), plot.Style{Stroke: plot.InkPen, Line: plot.Narrow})
		b.c.Text(plot.Pt(x, y+5), plot.Text{S: b.r.T(k), Size: sizeFine, Base: plot.CapTop, Ink: plot.InkThin})
	}
}
