package page

import (
	"os"
	"testing"

	"fettle/internal/know/words"
)

func TestKeysExist(t *testing.T) {
	text, err := os.ReadFile("../../../data/words/en.yaml")
	if err != nil {
		t.Fatal(err)
	}
	book, err := words.Parse("en", text, nil)
	if err != nil {
		t.Fatal(err)
	}
	if len(Keys()) < 50 {
		t.Fatalf("only %d keys found in the templates", len(Keys()))
	}
	for _, k := range Keys() {
		if !book.Has(k) {
			t.Errorf("no sentence for %s", k)
		}
	}
	if _, err := New(map[string]*words.Book{"en": book}); err != nil {
		t.Fatal(err)
	}
}
