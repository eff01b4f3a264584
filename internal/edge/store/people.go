package store

import (
	"encoding/json"
	"errors"
	"io/fs"
	"os"

	"fettle/internal/base/fault"
)

// Person is what is known of a person or a customer besides the opaque id that
// stands in the log. It lies outside the log so that it can be erased.
type Person struct {
	Name    string `json:"name"`
	Address string `json:"address,omitempty"`
	Phone   string `json:"phone,omitempty"`
	Mail    string `json:"mail,omitempty"`
	Plate   string `json:"plate,omitempty"` // of the customer's vehicle
	Note    string `json:"note,omitempty"`
}

// PutPerson writes or replaces a person's file. After a crash the file is the
// old or the new one, never a part.
func (s *Store) PutPerson(id string, p Person) error {
	name, err := personFile(id)
	if err != nil {
		return err
	}
	b, err := json.MarshalIndent(p, "", "  ")
	if err != nil {
		panic("store: a person is always JSON: " + err.Error())
	}
	if err := s.replace(name, append(b, '\n')); err != nil {
		return broken("store.person", err, "id", id)
	}
	return nil
}

// replace writes beside the name, syncs, renames and syncs the directory.
func (s *Store) replace(name string, b []byte) error {
	temp := name + ".new"
	f, err := s.people.OpenFile(temp, os.O_WRONLY|os.O_CREATE|os.O_TRUNC, 0o600)
	if err != nil {
		return err
	}
	_, err = f.Write(b)
	if err := errors.Join(err, f.Sync(), f.Close()); err != nil {
		return errors.Join(err, s.people.Remove(temp))
	}
	if err := s.people.Rename(temp, name); err != nil {
		return err
	}
	return s.syncPeople()
}

// Person reads a person's file.
func (s *Store) Person(id string) (Person, error) {
	var p Person
	name, err := personFile(id)
	if err != nil {
		return p, err
	}
	b, err := s.people.ReadFile(name)
	if errors.Is(err, fs.ErrNotExist) {
		return p, fault.New(fault.Missing, "store.no-person", "id", id)
	}
	if err == nil {
		err = json.Unmarshal(b, &p)
	}
	if err != nil {
		return p, broken("store.person", err, "id", id)
	}
	return p, nil
}

// ErasePerson removes a person's file, and what an interrupted write may have
// left of it. The log, which holds the id alone, stays as it is. A person who is
// not there counts as erased.
func (s *Store) ErasePerson(id string) error {
	name, err := personFile(id)
	if err != nil {
		return err
	}
	for _, n := range []string{name + ".new", name} {
		if err := s.people.Remove(n); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return broken("store.person", err, "id", id)
		}
	}
	if err := s.syncPeople(); err != nil {
		return broken("store.person", err, "id", id)
	}
	return nil
}

func (s *Store) syncPeople() error {
	d, err := s.people.Open(".")
	if err != nil {
		return err
	}
	return errors.Join(d.Sync(), d.Close())
}

// personFile names the file of an id. Capital letters are refused: some file
// systems would take two ids for one.
func personFile(id string) (string, error) {
	bad := id == "" || len(id) > 64
	for _, c := range id {
		bad = bad || !(c >= 'a' && c <= 'z' || c >= '0' && c <= '9' || c == '-' || c == '_')
	}
	if bad {
		return "", fault.New(fault.Invalid, "store.bad-person-id", "found", id)
	}
	return id + ".json", nil
}
