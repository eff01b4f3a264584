package operation

import (
	"strconv"

	"fettle/internal/base/fault"
	"fettle/internal/know/file"
	"fettle/internal/know/words"
)

// linter gathers what is wrong with the file beyond its schema.
type linter struct {
	f        *File
	doc      *file.Doc
	known    Known
	faults   fault.List
	machines map[string]bool
	fixtures map[string]bool
	goods    map[string]bool
	ops      map[string]bool
}

func lint(f *File, doc *file.Doc, known Known) fault.List {
	k := &linter{f: f, doc: doc, known: known, machines: map[string]bool{}, fixtures: map[string]bool{}, goods: map[string]bool{}, ops: map[string]bool{}}
	for i, m := range f.Machines {
		k.entry("machines", i, k.machines, m.ID, m.Name)
	}
	for i, m := range f.Fixtures {
		k.entry("fixtures", i, k.fixtures, m.ID, m.Name)
	}
	for i, m := range f.Goods {
		k.entry("goods", i, k.goods, m.ID, m.Name)
	}
	for i := range f.Operations {
		k.entry("operations", i, k.ops, f.Operations[i].ID, f.Operations[i].Name)
	}
	for i := range f.Operations {
		k.operation("operations["+strconv.Itoa(i)+"]", &f.Operations[i])
	}
	if _, ring := sorted(f.Operations); ring != "" {
		for i := range f.Operations {
			if f.Operations[i].ID == ring {
				k.say("operations["+strconv.Itoa(i)+"]", "operation.ring", "found", ring)
			}
		}
	}
	return k.faults
}

func (k *linter) say(path, key string, pairs ...string) {
	k.faults = append(k.faults, k.doc.Fault(path, key, pairs...))
}

func (k *linter) entry(list string, i int, seen map[string]bool, id string, name words.Text) {
	at := list + "[" + strconv.Itoa(i) + "]"
	if seen[id] {
		k.say(at+".id", "operation.twice", "found", id)
	}
	seen[id] = true
	k.words(at, "name", name)
}

// words wants English and German of every text that is there at all.
func (k *linter) words(at, field string, texts ...words.Text) {
	for _, t := range texts {
		for _, lang := range []string{"en", "de"} {
			if len(t) > 0 && t[lang] == "" {
				k.say(at+"."+field, "operation.no-words", "lang", lang)
			}
		}
	}
}

func (k *linter) operation(at string, o *Operation) {
	k.words(at, "check", o.Check)
	k.words(at, "first_piece", o.First)
	k.words(at, "hazard", o.Hazard)
	if !k.machines[o.Machine] {
		k.say(at+".machine", "operation.no-machine", "found", o.Machine)
	}
	for i, id := range o.Fixtures {
		if !k.fixtures[id] {
			k.say(at+".fixtures["+strconv.Itoa(i)+"]", "operation.no-fixture", "found", id)
		}
	}
	k.refer(at+".needs", o.Needs, k.ops)
	k.refer(at+".after", o.After, k.ops)
	for i, c := range o.Cautions {
		if !k.known.Caution(c) {
			k.say(at+".cautions["+strconv.Itoa(i)+"]", "workshop.unknown-caution", "found", c)
		}
	}
	if len(o.Hazard) > 0 && len(o.Cautions) == 0 {
		k.say(at+".hazard", "operation.no-caution", "found", o.ID)
	}
	if !k.known.Source(string(o.Source)) {
		k.say(at+".source", "family.unknown-source", "found", string(o.Source))
	}
	k.labour(at, o)
	k.brings(at, o)
	k.sets(at, o)
	for i, a := range o.Answers {
		for n, out := range a.Outcomes {
			if !k.known.Answer(a.Finding, out) {
				k.say(at+".answers["+strconv.Itoa(i)+"].outcomes["+strconv.Itoa(n)+"]", "operation.no-answer", "found", a.Finding, "outcome", out)
			}
		}
	}
}

func (k *linter) refer(at string, ids []string, to map[string]bool) {
	for i, id := range ids {
		if !to[id] {
			k.say(at+"["+strconv.Itoa(i)+"]", "operation.no-operation", "found", id)
		}
	}
}

func (k *linter) labour(at string, o *Operation) {
	l := o.Labour
	if l.Low.SI() > l.High.SI() || l.Alone.Low.SI() > l.Alone.High.SI() || o.Outside.Low > o.Outside.High {
		k.say(at+".labour", "operation.low-above-high", "found", o.ID)
	}
	if l.Setup.SI() > l.Low.SI() {
		k.say(at+".labour.setup", "operation.setup", "found", l.Setup.String(), "low", l.Low.String())
	}
	if l.Of > 0 && len(o.Per) == 0 {
		k.say(at+".labour.of", "operation.of-nothing", "found", o.ID)
	}
}

func (k *linter) brings(at string, o *Operation) {
	for i, b := range o.Brings {
		here := at + ".brings[" + strconv.Itoa(i) + "]"
		k.words(here, "why", b.Why)
		switch {
		case (b.Operation == "") == (b.Goods == ""):
			k.say(here, "operation.brings-one")
		case b.Operation != "" && !k.ops[b.Operation]:
			k.say(here+".operation", "operation.no-operation", "found", b.Operation)
		case b.Goods != "" && !k.goods[b.Goods]:
			k.say(here+".goods", "operation.no-goods", "found", b.Goods)
		}
	}
}

// sets wants a direction of every shift and a closing reading of whatever is
// set: a size that nobody reads is a size that nobody has.
func (k *linter) sets(at string, o *Operation) {
	for i, s := range o.Sets {
		here := at + ".sets[" + strconv.Itoa(i) + "]"
		if (s.Rule == Shift) != (s.Sign != 0) {
			k.say(here, "operation.shift-sign", "found", s.Characteristic)
		}
		if s.Tolerance.SI() <= 0 {
			k.say(here+".tolerance", "operation.no-tolerance", "found", s.Characteristic)
		}
		read := false
		for _, c := range o.Closing {
			read = read || c == s.Characteristic
		}
		if !read {
			k.say(here, "operation.set-unread", "found", s.Characteristic)
		}
	}
}
