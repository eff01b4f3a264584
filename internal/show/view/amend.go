package view

// Amend is the page on which a reading is corrected or withdrawn.
type Amend struct {
	Frame
	Withdraw bool
	Post     string
	Back     Link
	Old      Reading
	Form     Form
	Where    string
	Position string
}

// AmendPage makes the page of a correction, or of a withdrawal; ok is false
// where no such reading counts.
func (c *Case) AmendPage(r Reader, key string, withdraw bool, form Form) (v Amend, ok bool) {
	rd, ok := c.Job.Find(key)
	if !ok {
		return v, false
	}
	title, step := r.T("page.correct.title"), "correct"
	if withdraw {
		title, step = r.T("page.withdraw.title"), "withdraw"
	}
	v = Amend{Frame: c.frame(r, title, "", componentOf(rd.Position), rd.State), Withdraw: withdraw, Post: JobHref(c.id(), step, key),
		Back: Link{Href: AtHref(c.id(), rd.Position, rd.State), Text: c.Place(r, rd.Position)}, Old: c.reading(r, rd), Form: form,
		Where: c.Place(r, rd.Position), Position: rd.Position}
	v.Under = v.Where
	return v, true
}

// TypedFrom fills a form with a reading as it stands, for its correction.
func (c *Case) TypedFrom(r Reader, key string) (position string, t Typed, ok bool) {
	rd, ok := c.Job.Find(key)
	if !ok {
		return "", t, false
	}
	return rd.Position, Typed{Value: r.Num(rd.Value), Unit: rd.Unit, Gauge: rd.Gauge, Master: rd.Master, PartTemp: r.Num(rd.PartTemp),
		GaugeTemp: r.Num(rd.GaugeTemp), Person: rd.Person, State: rd.State, Note: rd.Note, Condition: rd.Condition}, true
}
