package bench

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"slices"
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/edge/store"
	"fettle/internal/know/family"
	"fettle/internal/know/library"
	"fettle/internal/know/revise"
)

// Draft is a family in the making: a patch, and what it makes of its base.
type Draft struct {
	ID          string
	Patch       revise.Patch
	Base        *family.Layout // the version it begins from
	Moved       bool           // that version no longer holds
	Text        []byte         // the new family's file; nil while something keeps it from being made
	Layout      *family.Layout // nil while the file is not sound
	Faults      fault.List     // of patch or file
	Differences []revise.Difference
}

// Sound reports whether the draft makes a family that can be used.
func (d *Draft) Sound() bool { return d.Layout != nil }

// Revision reports whether the draft takes the place of its base.
func (d *Draft) Revision() bool { return d.Patch.ID == d.Patch.Base }

// Start names a draft: what it begins from and what it shall be called.
type Start struct {
	Base     string
	ID       string // of a family of its own; not needed for a revision
	Name     string
	Note     string
	Revision bool
}

// BeginDraft begins a draft under an id that the caller makes.
func (b *Bench) BeginDraft(id string, s Start) error {
	lib := b.Library()
	l := lib.Families[s.Base]
	if l == nil {
		return fault.List{fault.New(fault.Invalid, "bench.no-family", "family", s.Base).In("base")}
	}
	p := revise.Patch{Format: revise.Format, Base: s.Base, Digest: l.Digest, ID: strings.TrimSpace(s.ID), Name: strings.TrimSpace(s.Name), Note: strings.TrimSpace(s.Note)}
	var faults fault.List
	switch {
	case s.Revision:
		p.ID = s.Base
	case p.ID == "":
		faults = append(faults, fault.New(fault.Invalid, "bench.no-id").In("id"))
	case lib.Families[p.ID] != nil:
		faults = append(faults, fault.New(fault.Conflict, "family.taken", "found", p.ID).In("id"))
	}
	if p.Name == "" && !s.Revision {
		faults = append(faults, fault.New(fault.Invalid, "bench.no-name").In("name"))
	}
	faults = append(append(faults, tooLong("name", p.Name)...), tooLong("note", p.Note)...)
	if len(faults) == 0 {
		_, text, _ := lib.Version(l.Digest)
		_, faults = revise.Apply(text, p)
	}
	if err := faults.OrNil(); err != nil {
		return err
	}
	return b.putDraft(id, &p)
}

func (b *Bench) putDraft(id string, p *revise.Patch) error {
	text, err := json.MarshalIndent(p, "", "  ")
	if err != nil {
		return fault.New(fault.Broken, "store.draft", "id", id, "error", err.Error())
	}
	return b.store.PutDraft(id, append(text, '\n'))
}

// Draft is a draft as it stands, with all that follows from it.
func (b *Bench) Draft(id string) (*Draft, error) {
	text, err := b.store.Draft(id)
	if err != nil {
		return nil, err
	}
	d := &Draft{ID: id}
	r := json.NewDecoder(bytes.NewReader(text))
	r.DisallowUnknownFields()
	if err := r.Decode(&d.Patch); err != nil || d.Patch.Format != revise.Format {
		return nil, fault.New(fault.Broken, "store.draft", "id", id, "error", errors.Join(err, errors.New(revise.Format)).Error())
	}
	return d, b.work(d)
}

// Drafts lists the drafts; one that cannot be read is left out: its own page
// says why.
func (b *Bench) Drafts() ([]*Draft, error) {
	list, err := b.store.Drafts()
	if err != nil {
		return nil, err
	}
	var out []*Draft
	for _, id := range list {
		text, err := b.store.Draft(id)
		d := &Draft{ID: id}
		if err == nil && json.Unmarshal(text, &d.Patch) == nil && d.Patch.Format == revise.Format {
			out = append(out, d)
		}
	}
	return out, nil
}

// work makes the family of a draft and lints it.
func (b *Bench) work(d *Draft) error {
	lib := b.Library()
	p := &d.Patch
	base, exact := lib.Pinned(p.Base, p.Digest)
	if base == nil {
		return fault.New(fault.Missing, "bench.no-family", "family", p.Base)
	}
	if now := lib.Families[p.Base]; !exact || now == nil || now.Digest != base.Digest {
		d.Moved = true
	}
	d.Base = base
	_, text, _ := lib.Version(base.Digest)
	if d.Text, d.Faults = revise.Apply(text, *p); len(d.Faults) > 0 {
		return nil
	}
	if d.Layout, d.Faults = lib.Check("family/"+p.ID+".yaml", d.Text); d.Layout != nil {
		d.Differences = revise.Diff(base.Family, d.Layout.Family)
	}
	return nil
}

// DropDraft discards a draft.
func (b *Bench) DropDraft(id string) error { return b.store.DropDraft(id) }

// Adopt takes a draft up into the workshop's own families: jobs opened from now
// on can be of it; those that are open stay on the version they are pinned to.
func (b *Bench) Adopt(ctx context.Context, id, person string) (*family.Layout, error) {
	sh, err := b.Shop(ctx)
	if err != nil {
		return nil, err
	}
	b.adopt.Lock()
	defer b.adopt.Unlock()
	d, err := b.Draft(id)
	if err != nil {
		return nil, err
	}
	if !d.Sound() {
		return nil, d.Faults
	}
	lib, p := b.Library(), d.Patch
	var faults fault.List
	switch held := lib.Families[p.ID]; {
	case held != nil && !d.Revision():
		faults = append(faults, fault.New(fault.Conflict, "family.taken", "found", p.ID).In("id"))
	case held != nil && d.Moved:
		faults = append(faults, fault.New(fault.Conflict, "bench.old-base", "found", short(p.Digest), "holds", short(held.Digest)).In("id"))
	}
	faults = append(faults, personFaults(sh, person)...)
	if err := faults.OrNil(); err != nil {
		return nil, err
	}
	own := library.Own{Now: library.Files{"family/" + p.ID + ".yaml": d.Text}}
	next, faults := lib.With(own)
	if err := faults.OrNil(); err != nil {
		return nil, err
	}
	l := next.Families[p.ID]
	p.Adopted = &revise.Adopted{Person: person, Time: b.now(), Digest: l.Digest}
	patch, err := json.MarshalIndent(&p, "", "  ")
	if err != nil {
		return nil, fault.New(fault.Broken, "store.family", "id", p.ID, "error", err.Error())
	}
	if err := b.store.PutFamily(store.OwnFamily{ID: p.ID, Digest: l.Digest, Text: d.Text, Patch: append(patch, '\n')}, lib.Digests[p.ID]); err != nil {
		return nil, err
	}
	b.held.Store(next)
	return l, b.store.DropDraft(id)
}

// TakeOwn takes up the families that lie in the workshop's folder. One that is
// not sound is left out and said; the others hold.
func (b *Bench) TakeOwn() (fault.List, error) {
	now, was, err := b.store.Families()
	if err != nil {
		return nil, err
	}
	b.adopt.Lock()
	defer b.adopt.Unlock()
	next, faults := b.Library().With(library.Own{Now: now, Was: was})
	b.held.Store(next)
	return faults, nil
}

// Own reports whether a family lies in the workshop's folder.
func (b *Bench) Own(id string) bool {
	return b.Library().Families[id] != b.library.Families[id]
}

// Families lists the ids of the families that hold, in order.
func (b *Bench) Families() []string {
	var out []string
	for id := range b.Library().Families {
		out = append(out, id)
	}
	slices.Sort(out)
	return out
}
