package library_test

import (
	"bytes"
	"slices"
	"testing"

	"fettle/internal/judge/compute"
	"fettle/internal/know/library"
)

// Law: every characteristic and component that the strip file names is one of a
// shipped family, every cleared component has the test it needs, and every
// component of a shipped family is of a material with a recipe under every
// process.
func TestStripNamesWhatThereIs(t *testing.T) {
	l, _ := shipped(t)
	chars, comps := map[string]bool{}, map[string]bool{}
	for _, lay := range l.Families {
		for i := range lay.Family.Characteristics {
			chars[lay.Family.Characteristics[i].ID] = true
		}
		for _, c := range lay.Family.Components {
			comps[c.ID] = true
			for _, p := range l.Cleaning.Processes {
				if _, ok := l.Recipe(p.ID, c.Material); !ok {
					t.Errorf("%s: no recipe for %s by %s", lay.Family.ID, c.Material, p.ID)
				}
			}
		}
	}
	for _, g := range l.Strip.Gates {
		for _, c := range g.Measure {
			if !chars[c] {
				t.Errorf("gate %s measures %s, which no family has", g.ID, c)
			}
		}
		for _, c := range g.Before {
			if !comps[c] {
				t.Errorf("gate %s stands before %s, which no family has", g.ID, c)
			}
		}
	}
	for _, c := range l.Strip.Clear {
		if !comps[c.Component] {
			t.Errorf("no family has a %s to be tested", c.Component)
		}
	}
	for _, c := range l.Cleaning.Checks {
		for _, of := range c.Of {
			if !comps[of] {
				t.Errorf("check %s is of %s, which no family has", c.ID, of)
			}
		}
	}
}

// Law: each mistake in the two files is named by its own fault.
func TestLintOfWorkshopFiles(t *testing.T) {
	_, files := shipped(t)
	for _, c := range []struct{ file, old, new, key string }{
		{"cleaning.yaml", "materials: [magnesium], fit: stop", "materials: [unobtainium], fit: stop", "workshop.unknown-material"},
		{"cleaning.yaml", "materials: [magnesium], fit: stop", "materials: [grey-iron], fit: stop", "workshop.recipe-twice"},
		{"cleaning.yaml", "materials: [magnesium], fit: stop", "materials: [magnesium], fit: perhaps", "file.not-listed"},
		{"cleaning.yaml", "al-wrought, magnesium, titanium, stainless-spring, hard-metal, rubber], fit: stop", "al-wrought, magnesium, titanium, stainless-spring, hard-metal, rubber], fit: care", "workshop.caustic"},
		{"cleaning.yaml", "{process: air, materials: [grey-iron, ", "{process: air, materials: [", "workshop.no-recipe"},
		{"cleaning.yaml", "- {process: spray-wash, materials: [magnesium]", "- {process: steam, materials: [magnesium]", "workshop.unknown-process"},
		{"cleaning.yaml", "caution: blasting}", "caution: none-such}", "workshop.unknown-caution"},
		{"cleaning.yaml", "source: common-practice", "source: hearsay", "family.unknown-source"},
		{"cleaning.yaml", "id: brushed", "id: plugs-out", "family.duplicate"},
		{"strip.yaml", "methods: [magnetic], why: {en: \"Fillets", "methods: [x-ray], why: {en: \"Fillets", "workshop.unknown-method"},
		{"strip.yaml", "bad: high, apart: 4 %", "bad: high", "workshop.panel-apart"},
		{"strip.yaml", "{id: gear-backlash", "{id: lash", "family.duplicate"},
		{"strip.yaml", "caution: crack-test", "caution: none-such", "workshop.unknown-caution"},
	} {
		if !bytes.Contains(files[c.file], []byte(c.old)) {
			t.Fatalf("%s no longer says %q", c.file, c.old)
		}
		broken := library.Files{}
		for n, text := range files {
			broken[n] = text
		}
		broken[c.file] = bytes.Replace(files[c.file], []byte(c.old), []byte(c.new), 1)
		_, faults := library.Read(broken, compute.Signature)
		var keys []string
		for _, f := range faults {
			keys = append(keys, f.Key)
			if f.File != c.file || f.Line < 2 {
				t.Errorf("%s stands at %s:%d", f.Key, f.File, f.Line)
			}
		}
		if !slices.Contains(keys, c.key) {
			t.Errorf("%q for %q: %v, want %s", c.new, c.old, keys, c.key)
		}
	}
}
