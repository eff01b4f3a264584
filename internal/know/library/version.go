package library

import (
	"crypto/sha256"
	"encoding/hex"
	"maps"
	"path"
	"sort"
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/know/family"
)

// version is one text of a family.
type version struct {
	layout *family.Layout
	text   []byte
}

// layout lays out a family file against this library and gives it its digest.
func (l *Library) layout(d *family.Draft) (*family.Layout, fault.List) {
	lay, faults := d.Layout(l.known)
	if len(faults) > 0 {
		return nil, faults
	}
	h := sha256.New()
	h.Write(d.Text)
	h.Write(l.shared)
	lay.Digest = hex.EncodeToString(h.Sum(nil))
	return lay, nil
}

func (l *Library) hold(lay *family.Layout, text []byte) {
	l.Families[lay.Family.ID], l.Digests[lay.Family.ID] = lay, lay.Digest
	l.versions[lay.Digest] = version{lay, text}
}

// Check lays out a family file as Family does, and keeps nothing. Unlike
// Family, many may do so at once.
func (l *Library) Check(name string, text []byte) (*family.Layout, fault.List) {
	v := l.validator
	if v == nil {
		v = family.Validator()
	}
	return l.layout(family.Open(name, text, v))
}

// Version finds a version of a family by its digest, with its file.
func (l *Library) Version(digest string) (lay *family.Layout, text []byte, ok bool) {
	v, ok := l.versions[digest]
	return v.layout, v.text, ok
}

// Pinned is the version of a family that a digest names; exact is false where
// this library does not hold it and gives the one it has now, nil for none.
func (l *Library) Pinned(id, digest string) (lay *family.Layout, exact bool) {
	if v, ok := l.versions[digest]; ok && v.layout.Family.ID == id {
		return v.layout, true
	}
	return l.Families[id], false
}

// By is this library with one version of a family in the place of the one it
// holds now: what a job that stands on that version is judged by.
func (l *Library) By(lay *family.Layout) *Library {
	id := lay.Family.ID
	if l.Families[id] == lay {
		return l
	}
	n := *l
	n.Families, n.Digests = maps.Clone(l.Families), maps.Clone(l.Digests)
	n.Families[id], n.Digests[id] = lay, lay.Digest
	return &n
}

// Own says what a workshop's own folder holds.
type Own struct {
	Now Files // family/ID.yaml: the versions that hold
	Was Files // earlier ones, under any name
}

// With is this library and a workshop's own families; l stays as it is. A file
// that is not sound is left out and said, the others hold all the same. A file
// with the id of a family that is there already must say that it revises one.
func (l *Library) With(own Own) (*Library, fault.List) {
	n := *l
	n.Families, n.Digests, n.versions = maps.Clone(l.Families), maps.Clone(l.Digests), maps.Clone(l.versions)
	if n.validator == nil {
		n.validator = family.Validator()
	}
	var faults fault.List
	for _, name := range names(own.Was) {
		lay, fl := n.Check(name, own.Was[name])
		if faults = append(faults, fl...); len(fl) == 0 {
			n.versions[lay.Digest] = version{lay, own.Was[name]}
		}
	}
	for _, name := range names(own.Now) {
		lay, fl := n.Check(name, own.Now[name])
		if len(fl) == 0 {
			fl = n.may(name, lay)
		}
		if faults = append(faults, fl...); len(fl) == 0 {
			n.hold(lay, own.Now[name])
		}
	}
	return &n, faults
}

// may says what keeps a workshop's file from holding.
func (l *Library) may(name string, lay *family.Layout) fault.List {
	f := lay.Family
	if base := strings.TrimSuffix(path.Base(name), ".yaml"); base != f.ID {
		return fault.List{fault.New(fault.Invalid, "family.other-file", "found", f.ID, "file", base).At(name, 1, 1)}
	}
	if l.Families[f.ID] != nil && f.Revises == "" {
		return fault.List{fault.New(fault.Conflict, "family.taken", "found", f.ID).At(name, 1, 1)}
	}
	return nil
}

func names(f Files) []string {
	out := make([]string, 0, len(f))
	for n := range f {
		out = append(out, n)
	}
	sort.Strings(out)
	return out
}
