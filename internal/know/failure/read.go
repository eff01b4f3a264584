package failure

import (
	"strconv"

	"fettle/internal/base/fault"
	"fettle/internal/know/file"
	"fettle/internal/know/words"
)

// Known is what the file leans on.
type Known struct {
	Source func(id string) bool
	Kind   func(kind, component string) bool // can this kind be seen on this component
	Within func(component, place string) bool
}

// Catalogue is the file in the form in which it is asked. It is never changed.
type Catalogue struct {
	Areas []Area
	Signs []Sign
	Modes []Mode
	signs map[string]int
	modes map[string]int
	over  map[string]Spread
	half  map[string]Half
}

// Read reads the file strictly and makes the catalogue of it.
func Read(name string, text []byte, known Known) (*Catalogue, fault.List) {
	f, doc, faults := file.Read[File](name, text, file.Compile(file.Schema(&File{}, name, name)))
	if len(faults) > 0 {
		return &Catalogue{}, faults
	}
	l := linter{f: &f, doc: doc, known: known}
	c := l.catalogue()
	l.faults.Sort()
	return c, l.faults
}

// Sign finds a sign by its id.
func (c *Catalogue) Sign(id string) (*Sign, bool) {
	i, ok := c.signs[id]
	if !ok {
		return nil, false
	}
	return &c.Signs[i], true
}

// Mode finds a mode by its id.
func (c *Catalogue) Mode(id string) (*Mode, bool) {
	i, ok := c.modes[id]
	if !ok {
		return nil, false
	}
	return &c.Modes[i], true
}

// Spread finds how a mark lies; "" and what is not there is any.
func (c *Catalogue) Spread(id string) Spread {
	if s, ok := c.over[id]; ok {
		return s
	}
	return c.over[Any]
}

// Half finds on which half a mark lies; "" and what is not there is any.
func (c *Catalogue) Half(id string) Half {
	if h, ok := c.half[id]; ok {
		return h
	}
	return c.half[Any]
}

// linter checks what the schema cannot say.
type linter struct {
	f      *File
	doc    *file.Doc
	known  Known
	faults fault.List
}

func (l *linter) say(path, key string, pairs ...string) {
	l.faults = append(l.faults, l.doc.Fault(path, key, pairs...))
}

func at(list string, i int) string { return list + "[" + strconv.Itoa(i) + "]" }

func (l *linter) catalogue() *Catalogue {
	f := l.f
	c := &Catalogue{Areas: f.Areas, Signs: f.Signs, Modes: f.Modes, signs: map[string]int{}, modes: map[string]int{},
		over: map[string]Spread{}, half: map[string]Half{}}
	once := map[string]bool{}
	name := func(list string, i int, id string) {
		if once[list+"/"+id] {
			l.say(at(list, i)+".id", "failure.twice", "found", id)
		}
		once[list+"/"+id] = true
	}
	for i, s := range f.Spreads {
		name("spreads", i, s.ID)
		c.over[s.ID] = s
		if sum := s.One + s.Neighbours + s.Gradient + s.All + s.Scattered; sum != 100 {
			l.say(at("spreads", i), "failure.not-whole", "found", strconv.Itoa(sum))
		}
	}
	for i, h := range f.Halves {
		name("halves", i, h.ID)
		c.half[h.ID] = h
		if sum := h.Upper + h.Lower + h.Both; sum != 100 {
			l.say(at("halves", i), "failure.not-whole", "found", strconv.Itoa(sum))
		}
	}
	if !once["spreads/"+Any] {
		l.say("spreads", "failure.no-any")
	}
	if !once["halves/"+Any] {
		l.say("halves", "failure.no-any")
	}
	for i, a := range f.Areas {
		name("areas", i, a.ID)
		l.said(at("areas", i), a.Name)
	}
	for i := range f.Signs {
		name("signs", i, f.Signs[i].ID)
		c.signs[f.Signs[i].ID] = i
		l.sign(at("signs", i), &f.Signs[i])
	}
	marked := map[string]bool{}
	for i := range f.Modes {
		name("modes", i, f.Modes[i].ID)
		c.modes[f.Modes[i].ID] = i
		l.mode(c, at("modes", i), &f.Modes[i], once, marked)
	}
	for i, s := range f.Signs {
		if !marked[s.ID] {
			l.say(at("signs", i)+".id", "failure.no-mode", "found", s.ID)
		}
	}
	return c
}

func (l *linter) sign(path string, s *Sign) {
	l.said(path, s.Name, s.Look)
	if len(s.Any) == 0 && len(s.Measured) == 0 {
		l.say(path+".id", "failure.no-evidence", "found", s.ID)
	}
	for i, k := range s.Any {
		for _, comp := range k.On {
			if !l.known.Kind(k.Kind, comp) {
				l.say(at(path+".any", i), "failure.no-kind", "found", k.Kind, "part", comp)
			}
		}
		for _, w := range k.Within {
			some := false
			for _, comp := range k.On {
				some = some || l.known.Within(comp, w)
			}
			if !some {
				l.say(at(path+".any", i)+".within", "failure.no-within", "found", w)
			}
		}
	}
}

func (l *linter) mode(c *Catalogue, path string, m *Mode, once, marked map[string]bool) {
	l.said(path, m.Name, m.Mechanism, m.Correct, m.Prevent)
	if !once["areas/"+m.Area] {
		l.say(path+".area", "failure.no-area", "found", m.Area)
	}
	if !l.known.Source(string(m.Source)) {
		l.say(path+".source", "failure.no-source", "found", string(m.Source))
	}
	if (m.ShareTag == Source) != (m.ShareSource != "") {
		l.say(path+".share_tag", "failure.whose")
	} else if m.ShareSource != "" && !l.known.Source(string(m.ShareSource)) {
		l.say(path+".share_source", "failure.no-source", "found", string(m.ShareSource))
	}
	mine := map[string]bool{}
	for i, k := range m.Marks {
		here := at(path+".marks", i)
		s, ok := c.Sign(k.Sign)
		if !ok {
			l.say(here+".sign", "failure.no-sign", "found", k.Sign)
			continue
		}
		if mine[k.Sign] {
			l.say(here+".sign", "failure.twice", "found", k.Sign)
		}
		mine[k.Sign], marked[k.Sign] = true, true
		if _, ok := c.over[k.Spread]; k.Spread != "" && (!ok || !s.Spread) {
			l.say(here+".spread", "failure.no-spread", "found", k.Spread)
		}
		if _, ok := c.half[k.Half]; k.Half != "" && (!ok || !s.Half) {
			l.say(here+".half", "failure.no-spread", "found", k.Half)
		}
	}
}

// said wants every text in English and in German.
func (l *linter) said(path string, texts ...words.Text) {
	for _, t := range texts {
		for _, lang := range []string{"en", "de"} {
			if t[lang] == "" {
				l.say(path, "failure.no-words", "lang", lang)
				return
			}
		}
	}
}

// Owners counts whose the numbers of the catalogue are: shares of modes, and
// likelihoods with the rates of signs elsewhere.
func (c *Catalogue) Owners() (shares, likelihoods map[Tag]int) {
	shares, likelihoods = map[Tag]int{}, map[Tag]int{}
	for _, a := range c.Areas {
		shares[a.None.Tag]++
		likelihoods[a.None.Tag]++
	}
	for _, s := range c.Signs {
		likelihoods[s.Tag]++
	}
	for _, m := range c.Modes {
		shares[m.ShareTag]++
		for _, k := range m.Marks {
			likelihoods[k.Tag]++
		}
	}
	return shares, likelihoods
}
