package store

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io/fs"
	"os"

	"fettle/internal/base/fault"
)

// MostFile is the largest file that is kept beside the log.
const MostFile = 32 << 20

// filesDir is where files of certificates lie, each under its own SHA-256;
// photosDir holds the photos as they are shown, originalsDir as they came.
const (
	filesDir     = "files"
	photosDir    = "photos"
	originalsDir = "originals"
)

// PutFile keeps a file byte for byte and returns its SHA-256, by which an entry
// names it and File finds it. When it returns, the file is on the disk: an entry
// that names it is written afterwards. The same bytes are kept once.
func (s *Store) PutFile(b []byte) (digest string, err error) { return keep(s.files, b) }

// PutPhoto keeps a photo as it is shown, as PutFile does.
func (s *Store) PutPhoto(b []byte) (digest string, err error) { return keep(s.photos, b) }

// PutOriginal keeps a photo as it came, with all that its camera wrote. It lies
// apart from what is shown, so that nothing hands it out by chance.
func (s *Store) PutOriginal(b []byte) (digest string, err error) { return keep(s.originals, b) }

func keep(root *os.Root, b []byte) (digest string, err error) {
	if len(b) > MostFile {
		return "", fault.New(fault.TooLarge, "store.file-too-large", "most", "32 MiB")
	}
	sum := sha256.Sum256(b)
	name := hex.EncodeToString(sum[:])
	if was, err := root.ReadFile(name); err == nil && sha256.Sum256(was) == sum {
		// It may have been written by a process that fell before it was synced.
		return name, settled(root, name)
	}
	temp := name + ".new"
	f, err := root.OpenFile(temp, os.O_WRONLY|os.O_CREATE|os.O_TRUNC, 0o600)
	if err != nil {
		return "", broken("store.file", err, "digest", name)
	}
	_, err = f.Write(b)
	if err := errors.Join(err, f.Sync(), f.Close()); err != nil {
		return "", broken("store.file", errors.Join(err, root.Remove(temp)), "digest", name)
	}
	if err := root.Rename(temp, name); err != nil {
		return "", broken("store.file", err, "digest", name)
	}
	return name, settled(root, name)
}

// settled syncs a file and the directory it stands in.
func settled(root *os.Root, name string) error {
	f, err := root.OpenFile(name, os.O_RDWR, 0)
	if err != nil {
		return broken("store.file", err, "digest", name)
	}
	d, err := root.Open(".")
	if err != nil {
		return broken("store.file", errors.Join(err, f.Close()), "digest", name)
	}
	if err := errors.Join(f.Sync(), f.Close(), d.Sync(), d.Close()); err != nil {
		return broken("store.file", err, "digest", name)
	}
	return nil
}

// File reads a file back and checks that it is still the one its name says.
func (s *Store) File(digest string) ([]byte, error) { return fetch(s.files, digest) }

// Photo reads back a photo as it is shown, as File does.
func (s *Store) Photo(digest string) ([]byte, error) { return fetch(s.photos, digest) }

// Original reads back a photo as it came, as File does.
func (s *Store) Original(digest string) ([]byte, error) { return fetch(s.originals, digest) }

func fetch(root *os.Root, digest string) ([]byte, error) {
	if b, err := hex.DecodeString(digest); err != nil || len(b) != sha256.Size || hex.EncodeToString(b) != digest {
		return nil, fault.New(fault.Invalid, "store.bad-digest", "found", digest)
	}
	b, err := root.ReadFile(digest)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fault.New(fault.Missing, "store.no-file", "digest", digest)
	}
	if err != nil {
		return nil, broken("store.file", err, "digest", digest)
	}
	if sum := sha256.Sum256(b); hex.EncodeToString(sum[:]) != digest {
		return nil, fault.New(fault.Broken, "store.file-changed", "digest", digest)
	}
	return b, nil
}
