package view

import (
	"strings"

	"fettle/internal/facts/job"
	"fettle/internal/judge/assess"
)

// Thumb is a photo beside what it is of.
type Thumb struct{ Href, Src, Alt, Words, Who, When string }

// PhotoForm is the form that hands in a photo: one thing that it is of, or a
// choice of places.
type PhotoForm struct {
	Key, Post         string
	Position, Finding string
	Where             []Choice
	People            []Choice
	Words             string
	Faults            map[string]string
	Problems          []string
	Bare              bool // on a page of its own
}

// Pictured is what a person put into that form.
type Pictured struct{ Position, Where, Finding, Words, Person string }

// PhotoNew is the page of that form alone.
type PhotoNew struct {
	Frame
	Of   Link
	Form PhotoForm
}

// PhotoPage is the page of one photo.
type PhotoPage struct {
	Frame
	Src, Alt string
	Of       Link
	Words    string
	Facts    []PhotoFact
	Located  string // what to know before asking for the original
	Ask      string // where the form goes that asks for it
}

// PhotoFact is a caption with its text.
type PhotoFact struct{ Name, Text string }

// PhotoHref is the address of the picture itself.
func PhotoHref(digest string) string { return "/photo/" + digest }

// photoOf names what a photo is of, with a way to it.
func (c *Case) photoOf(r Reader, p *job.PhotoV1) Link {
	switch {
	case p.Position != "":
		return Link{Href: AtHref(c.id(), p.Position, c.StateOf(p.Position)), Text: c.Place(r, p.Position)}
	case p.Finding != "":
		id, part, _ := strings.Cut(p.Finding, "@")
		for i := range c.Assessment.Findings {
			if f := &c.Assessment.Findings[i]; FindingRef(f) == p.Finding {
				return Link{Href: JobHref(c.id(), "findings") + "#" + anchor(f), Text: c.findingTitle(r, f)}
			}
		}
		return Link{Href: JobHref(c.id(), "part", componentOf(part)), Text: id + ", " + c.Part(r, part)}
	}
	o := job.Observed{ObservationV2: job.ObservationV2{Part: p.Part, At: p.At}}
	return Link{Href: JobHref(c.id(), "part", componentOf(p.Part)), Text: c.seenWhere(r, &o)}
}

// PhotoAlt says in words what a photo shows.
func (c *Case) PhotoAlt(r Reader, p *job.PhotoV1) string {
	of := c.photoOf(r, p).Text
	if p.Words == "" {
		return r.T("page.photo.alt", "of", of)
	}
	return r.T("page.photo.alt.words", "of", of, "words", p.Words)
}

// thumbs lists the photos that are of something.
func (c *Case) thumbs(r Reader, of func(*job.PhotoV1) bool) []Thumb {
	var out []Thumb
	for i := range c.Job.Photos {
		p := &c.Job.Photos[i]
		if of(&p.PhotoV1) {
			out = append(out, Thumb{Href: JobHref(c.id(), "photo", p.Key), Src: PhotoHref(p.Small), Alt: c.PhotoAlt(r, &p.PhotoV1),
				Words: p.Words, Who: c.person(p.Person), When: r.Day(p.Time)})
		}
	}
	return out
}

// ofComponent says whether a photo is of a part of a component, or of a
// position or a finding on it.
func ofComponent(p *job.PhotoV1, component string) bool {
	_, part, _ := strings.Cut(p.Finding, "@")
	return componentOf(p.Part+p.Position+part) == component
}

func ofFinding(f *assess.Finding) func(*job.PhotoV1) bool {
	ref := FindingRef(f)
	return func(p *job.PhotoV1) bool { return p.Finding == ref }
}

// PhotoFormFor makes the form of a photo.
func (c *Case) PhotoFormFor(r Reader, key string, n Pictured, faults map[string][]string) PhotoForm {
	f := PhotoForm{Key: key, Post: JobHref(c.id(), "photo"), Position: n.Position, Finding: n.Finding, Words: n.Words, People: c.people(r, n.Person),
		Faults: map[string]string{}}
	for field, list := range faults {
		if field == "" {
			f.Problems = list
			continue
		}
		f.Faults[field] = strings.Join(list, " ")
	}
	part, _, _ := strings.Cut(n.Where, "@")
	if comp := c.Layout.Component(componentOf(part)); comp != nil {
		f.Where = c.whereChoices(r, comp, n.Where)
	}
	return f
}

// photoHref is where a photo of a part is added.
func (c *Case) photoHref(part string) string {
	return JobHref(c.id(), "photo") + "?part=" + query(part)
}

// PhotoNewPage makes the page of the form alone; ok is false where there is
// nothing that it could be of.
func (c *Case) PhotoNewPage(r Reader, n Pictured, form PhotoForm) (v PhotoNew, ok bool) {
	part, at, _ := strings.Cut(n.Where, "@")
	comp := componentOf(part + n.Position)
	if n.Finding != "" {
		_, p, _ := strings.Cut(n.Finding, "@")
		comp = componentOf(p)
	}
	if !c.has(comp) || n.Position != "" && c.place(n.Position) == nil {
		return v, false
	}
	v = PhotoNew{Frame: c.frame(r, r.T("page.photo.add"), "", comp, c.lastState(comp)), Form: form}
	v.Of = c.photoOf(r, &job.PhotoV1{Position: n.Position, Part: part, At: at, Finding: n.Finding})
	v.Under = v.Of.Text
	v.Form.Bare = true
	return v, true
}

// PhotoPage makes the page of one photo; ok is false where there is none with
// that key.
func (c *Case) PhotoPage(r Reader, key string) (v PhotoPage, ok bool) {
	for i := range c.Job.Photos {
		p := &c.Job.Photos[i]
		if p.Key != key {
			continue
		}
		of := c.photoOf(r, &p.PhotoV1)
		_, part, _ := strings.Cut(p.Finding, "@")
		comp := componentOf(p.Part + p.Position + part)
		if !c.has(comp) {
			comp = ""
		}
		v = PhotoPage{Frame: c.frame(r, r.T("page.photo.title"), "", comp, c.lastState(comp)), Src: PhotoHref(p.Shown), Of: of,
			Alt: c.PhotoAlt(r, &p.PhotoV1), Words: p.Words, Ask: JobHref(c.id(), "photo", key)}
		v.Under = of.Text
		taken := p.Taken
		if taken == "" {
			taken = r.T("page.photo.unsaid")
		}
		for _, f := range [][2]string{{"by", r.T("page.photo.who", "who", c.person(p.Person), "when", r.Day(p.Time))}, {"taken", taken},
			{"size", r.T("page.photo.pixels", "w", r.Int(p.Width), "h", r.Int(p.Height), "type", p.Type)}, {"original", p.Original}, {"shown", p.Shown}} {
			v.Facts = append(v.Facts, PhotoFact{r.T("page.photo." + f[0]), f[1]})
		}
		v.Located = r.T("page.photo.unlocated")
		if p.Located {
			v.Located = r.T("page.photo.located")
		}
		return v, true
	}
	return v, false
}

// chosen is the value of the choice that stands chosen.
func chosen(list []Choice) string {
	for _, k := range list {
		if k.Chosen {
			return k.Value
		}
	}
	return ""
}
