package view

import (
	"strings"

	"fettle/internal/facts/entry"
)

// Stored says what the entry of a sequence did, and how the verdict of its
// value changed; "" where there is no such entry.
func (c *Case) Stored(r Reader, seq int64, before string) string {
	for i := range c.Job.Lines {
		l := &c.Job.Lines[i]
		if l.Seq != seq {
			continue
		}
		n := r.Int(int(seq))
		switch l.Kind {
		case entry.Correction:
			return r.T("page.stored.correction", "seq", n)
		case entry.Withdrawal:
			return r.T("page.stored.withdrawal", "seq", n)
		case entry.Answered:
			return r.T("page.stored.answer", "seq", n)
		case entry.Photo:
			return r.T("page.stored.photo", "seq", n)
		case entry.Observation:
			if l.Seen == 0 {
				return ""
			}
			o := &c.Job.Observations[l.Seen-1]
			if take := c.take(r, o.Kind); take != "" && !o.Absent {
				return r.T("page.stored.seen.take", "seq", n, "what", strings.TrimSuffix(c.SeenWords(r, o), "."), "take", take)
			}
			return r.T("page.stored.seen", "seq", n, "what", strings.TrimSuffix(c.SeenWords(r, o), "."))
		case entry.Decision, entry.Intake, entry.Signed, entry.Tagged, entry.Cleaned, entry.Tested, entry.Overridden, entry.Order, entry.Received, entry.Allocated, entry.OutsideOut, entry.OutsideIn:
			return r.T("page.stored.step", "seq", n)
		case entry.QuoteIssued, entry.Approval, entry.ChangeOrder, entry.Deposit, entry.Invoice, entry.Payment, entry.HandedOver:
			return r.T("page.stored.ledger", "seq", n)
		case entry.Reading:
			return c.storedReading(r, l.Key, n, before)
		}
	}
	return ""
}

func (c *Case) storedReading(r Reader, key, n, before string) string {
	rd, ok := c.Job.Find(key)
	if !ok {
		return ""
	}
	value := r.With(c.check(r, rd.Value), rd.Unit)
	v, ok := c.Assessment.Find(rd.Position, rd.State)
	if !ok || v.Verdict == "" {
		return r.T("page.stored.reading", "seq", n, "value", value)
	}
	now := verdictWord(r, v.Verdict)
	if r.Book.Has("page.verdict."+before) && before != "" && before != string(v.Verdict) {
		return r.T("page.stored.changed", "seq", n, "value", value, "before", r.T("page.verdict."+before), "verdict", now)
	}
	return r.T("page.stored.verdict", "seq", n, "value", value, "verdict", now)
}
