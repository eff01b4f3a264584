package store

import (
	"errors"
	"io/fs"
	"os"
	"path"
	"regexp"
	"sort"
	"strconv"
	"strings"

	"fettle/internal/base/fault"
)

// Where a workshop's own families and the drafts of some lie. They are files
// that a person may read, copy and bring along; nothing in the log is of them.
const (
	draftsDir = "drafts"
	familyDir = "family"
	wasDir    = "was" // in familyDir: versions that no longer hold, by digest
)

// mostDrafts bounds the drafts that lie about.
const mostDrafts = 200

// plainName is what a draft, a family or a version may be called.
var plainName = regexp.MustCompile(`^[a-z0-9][a-z0-9-]{0,63}$`)

// PutDraft writes or replaces a draft. After a crash it is the old or the new
// one, never a part.
func (s *Store) PutDraft(id string, b []byte) error {
	if !plainName.MatchString(id) {
		return fault.New(fault.Missing, "store.no-draft", "id", id)
	}
	if _, err := s.drafts.Stat(id + ".json"); errors.Is(err, fs.ErrNotExist) {
		all, err := s.Drafts()
		if err != nil {
			return err
		}
		if len(all) >= mostDrafts {
			return fault.New(fault.Refused, "store.too-many-drafts", "most", strconv.Itoa(mostDrafts))
		}
	}
	if err := put(s.drafts, id+".json", b); err != nil {
		return broken("store.draft", err, "id", id)
	}
	return nil
}

// Draft reads a draft.
func (s *Store) Draft(id string) ([]byte, error) {
	if !plainName.MatchString(id) {
		return nil, fault.New(fault.Missing, "store.no-draft", "id", id)
	}
	b, err := s.drafts.ReadFile(id + ".json")
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fault.New(fault.Missing, "store.no-draft", "id", id)
	}
	if err != nil {
		return nil, broken("store.draft", err, "id", id)
	}
	return b, nil
}

// Drafts lists the drafts by id.
func (s *Store) Drafts() ([]string, error) {
	list, err := fs.ReadDir(s.drafts.FS(), ".")
	if err != nil {
		return nil, broken("store.draft", err, "id", "")
	}
	var out []string
	for _, f := range list {
		if id, ok := strings.CutSuffix(f.Name(), ".json"); ok && plainName.MatchString(id) {
			out = append(out, id)
		}
	}
	return out, nil
}

// DropDraft removes a draft; one that is not there counts as removed.
func (s *Store) DropDraft(id string) error {
	if !plainName.MatchString(id) {
		return nil
	}
	if err := s.drafts.Remove(id + ".json"); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return broken("store.draft", err, "id", id)
	}
	return nil
}

// OwnFamily is a family of the workshop as it is taken up.
type OwnFamily struct {
	ID, Digest string
	Text       []byte
	Patch      []byte // what was changed, by whom and why; kept beside the versions
}

// PutFamily takes up a family. What held before under its id is kept among the
// earlier versions, under its digest, and stays there; it is written first, so
// that a crash loses neither.
func (s *Store) PutFamily(f OwnFamily, wasDigest string) error {
	name := f.ID + ".yaml"
	if !plainName.MatchString(f.ID) || !plainName.MatchString(f.Digest) || wasDigest != "" && !plainName.MatchString(wasDigest) {
		return fault.New(fault.Invalid, "revise.bad-id", "found", f.ID)
	}
	old, err := s.family.ReadFile(name)
	switch {
	case err == nil && wasDigest != "":
		err = put(s.family, path.Join(wasDir, wasDigest+".yaml"), old)
	case errors.Is(err, fs.ErrNotExist):
		err = nil
	}
	if err == nil {
		err = put(s.family, path.Join(wasDir, f.Digest+".json"), f.Patch)
	}
	if err == nil {
		err = put(s.family, name, f.Text)
	}
	if err != nil {
		return broken("store.family", err, "id", f.ID)
	}
	return nil
}

// Families reads the workshop's own families, as family/ID.yaml, and the
// versions that held before, as family/was/DIGEST.yaml.
func (s *Store) Families() (now, was map[string][]byte, err error) {
	now, was = map[string][]byte{}, map[string][]byte{}
	for _, d := range []struct {
		dir  string
		into map[string][]byte
	}{{".", now}, {wasDir, was}} {
		list, err := fs.ReadDir(s.family.FS(), d.dir)
		if err != nil {
			return nil, nil, broken("store.family", err, "id", d.dir)
		}
		sort.Slice(list, func(i, j int) bool { return list[i].Name() < list[j].Name() })
		for _, f := range list {
			if f.IsDir() || path.Ext(f.Name()) != ".yaml" {
				continue
			}
			b, err := s.family.ReadFile(path.Join(d.dir, f.Name()))
			if err != nil {
				return nil, nil, broken("store.family", err, "id", f.Name())
			}
			d.into[path.Join(familyDir, d.dir, f.Name())] = b
		}
	}
	return now, was, nil
}

// put writes beside a name, syncs, renames and syncs the directory.
func put(root *os.Root, name string, b []byte) error {
	temp := name + ".new"
	f, err := root.OpenFile(temp, os.O_WRONLY|os.O_CREATE|os.O_TRUNC, 0o600)
	if err != nil {
		return err
	}
	_, err = f.Write(b)
	if err := errors.Join(err, f.Sync(), f.Close()); err != nil {
		return errors.Join(err, root.Remove(temp))
	}
	if err := root.Rename(temp, name); err != nil {
		return err
	}
	d, err := root.Open(path.Dir(name))
	if err != nil {
		return err
	}
	return errors.Join(d.Sync(), d.Close())
}
