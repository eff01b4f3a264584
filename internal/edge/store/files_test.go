package store

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
)

// Law: a file comes back byte for byte under the digest of its bytes, also
// after the store was opened anew; the same bytes are kept once; a file that
// was changed or half written is told, and mended by putting it again.
func TestFiles(t *testing.T) {
	dir := t.TempDir()
	s := open(t, dir)
	text := []byte("<a>\r\n\x00 kept as it came</a>")
	name, err := s.PutFile(text)
	// SHA-256 of the text above, by sha256sum.
	if want := "20f15e5e2c5a9ac676609c8d333adab983d3543ddf6a9fccf027cbedaf887baa"; err != nil || name != want {
		t.Fatalf("%s, %v; want %s", name, err, want)
	}
	again, err := s.PutFile(text)
	if err != nil || again != name {
		t.Fatalf("again: %s, %v", again, err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	s = open(t, dir)
	defer s.Close()
	if got, err := s.File(name); err != nil || !bytes.Equal(got, text) {
		t.Errorf("%q, %v", got, err)
	}
	list, err := os.ReadDir(filepath.Join(dir, filesDir))
	if err != nil || len(list) != 1 || list[0].Name() != name {
		t.Errorf("%v, %v", list, err)
	}
	if err := os.WriteFile(filepath.Join(dir, filesDir, name), text[:4], 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := s.File(name); key(err) != "store.file-changed" {
		t.Errorf("changed: %v", err)
	}
	if _, err := s.PutFile(text); err != nil {
		t.Errorf("mended: %v", err)
	}
	if got, err := s.File(name); err != nil || !bytes.Equal(got, text) {
		t.Errorf("mended: %q, %v", got, err)
	}
	for found, want := range map[string]string{"../fettle.db": "store.bad-digest", "": "store.bad-digest",
		"2A" + name[2:]: "store.bad-digest", "00" + name[2:]: "store.no-file"} {
		if _, err := s.File(found); key(err) != want {
			t.Errorf("%s: %v; want %s", found, err, want)
		}
	}
	if _, err := s.PutFile(make([]byte, MostFile+1)); key(err) != "store.file-too-large" {
		t.Errorf("too large: %v", err)
	}
}

// Law: a photo as shown, its original and a file of a certificate lie apart: the
// digest of one finds nothing in the place of another.
func TestPhotosLieApart(t *testing.T) {
	s := open(t, t.TempDir())
	defer s.Close()
	put := map[string]func([]byte) (string, error){"file": s.PutFile, "photo": s.PutPhoto, "original": s.PutOriginal}
	get := map[string]func(string) ([]byte, error){"file": s.File, "photo": s.Photo, "original": s.Original}
	for kind, p := range put {
		text := []byte("of the kind " + kind)
		digest, err := p(text)
		if err != nil {
			t.Fatal(err)
		}
		for other, g := range get {
			b, err := g(digest)
			if other == kind && (err != nil || !bytes.Equal(b, text)) || other != kind && key(err) != "store.no-file" {
				t.Errorf("%s asked for as %s: %q, %v", kind, other, b, err)
			}
		}
	}
}
