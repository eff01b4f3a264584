package store

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"fettle/internal/base/fault"
)

func TestFamiliesAndDraftsAreFiles(t *testing.T) {
	dir := t.TempDir()
	s, err := Open(context.Background(), dir, time.Now)
	if err != nil {
		t.Fatal(err)
	}
	for _, v := range []struct{ digest, text, was string }{{"d1", "one", ""}, {"d2", "two", "d1"}, {"d3", "three", "d2"}} {
		if err := s.PutFamily(OwnFamily{ID: "own-1", Digest: v.digest, Text: []byte(v.text), Patch: []byte("{}")}, v.was); err != nil {
			t.Fatal(err)
		}
	}
	if err := s.PutDraft("ab", []byte("x")); err != nil {
		t.Fatal(err)
	}
	if err := s.PutDraft("ab", []byte("y")); err != nil {
		t.Fatal(err)
	}
	// What an interrupted write leaves is no family and no draft.
	for _, f := range []string{"family/own-2.yaml.new", "drafts/cd.json.new"} {
		if err := os.WriteFile(filepath.Join(dir, filepath.FromSlash(f)), []byte("half"), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if s, err = Open(context.Background(), dir, time.Now); err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	now, was, err := s.Families()
	if err != nil {
		t.Fatal(err)
	}
	if len(now) != 1 || string(now["family/own-1.yaml"]) != "three" || len(was) != 2 ||
		string(was["family/was/d1.yaml"]) != "one" || string(was["family/was/d2.yaml"]) != "two" {
		t.Errorf("held %q, held before %q", now, was)
	}
	if b, err := s.Draft("ab"); err != nil || string(b) != "y" {
		t.Errorf("the draft is %q, %v", b, err)
	}
	if all, err := s.Drafts(); err != nil || len(all) != 1 {
		t.Errorf("drafts %v, %v", all, err)
	}
	if err := errors.Join(s.DropDraft("ab"), s.DropDraft("ab")); err != nil {
		t.Error(err)
	}
	var f *fault.Fault
	for _, id := range []string{"ab", "../people/p", "", "A", "a/b"} {
		if _, err := s.Draft(id); !errors.As(err, &f) || f.Code != fault.Missing {
			t.Errorf("%q: %v", id, err)
		}
		if id != "ab" && s.PutDraft(id, nil) == nil {
			t.Errorf("%q was written", id)
		}
	}
	for _, id := range []string{"../x", "was/x", "A", ""} {
		if s.PutFamily(OwnFamily{ID: id, Digest: "d"}, "") == nil || s.PutFamily(OwnFamily{ID: "x", Digest: "d"}, id) == nil != (id == "") {
			t.Errorf("%q was written", id)
		}
	}
	for i := range mostDrafts + 1 {
		if err = s.PutDraft(fmt.Sprint(i), nil); err != nil {
			break
		}
	}
	if !errors.As(err, &f) || f.Key != "store.too-many-drafts" {
		t.Errorf("drafts without end: %v", err)
	}
}
