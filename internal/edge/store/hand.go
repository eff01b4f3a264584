package store

import (
	"encoding/hex"
	"errors"
	"io/fs"
)

// handsDir is where it is noted how each person likes to work. Nothing in it is
// a fact: it may be thrown away.
const handsDir = "hands"

// PutHand notes how a person likes to work.
func (s *Store) PutHand(person string, b []byte) error {
	if err := put(s.hands, handFile(person), b); err != nil {
		return broken("store.hand", err, "id", person)
	}
	return nil
}

// Hand reads it back; nil where nothing was noted.
func (s *Store) Hand(person string) ([]byte, error) {
	b, err := s.hands.ReadFile(handFile(person))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, broken("store.hand", err, "id", person)
	}
	return b, nil
}

// handFile names the file of a person by digits alone, so that no id is a path
// and none is taken for another.
func handFile(person string) string { return "p" + hex.EncodeToString([]byte(person)) + ".json" }
