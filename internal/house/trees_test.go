package house

import (
	"os"
	"strings"
	"testing"
	"testing/fstest"
)

func TestWordsOfThisHouse(t *testing.T) {
	breaks, err := Words(os.DirFS(root(t)), Strangers())
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range breaks {
		t.Error(b)
	}
}

func TestWordRule(t *testing.T) {
	strangers := Strangers()
	for _, w := range strangers {
		if strings.Contains(w, "|") {
			t.Errorf("%q still carries its bar", w)
		}
		tree := fstest.MapFS{
			"README.md":       {Data: []byte("one\ntwo " + strings.ToUpper(w) + " three\n")},
			"a.png":           {Data: []byte("\x89PNG\x00" + w)},
			".git/config":     {Data: []byte(w)},
			".ci/run":         {Data: []byte(w)},
			"bin/fettle":      {Data: []byte(w)},
			".cache/go/a.txt": {Data: []byte(w)},
			"clean.go":        {Data: []byte("package clean\n")},
		}
		breaks, err := Words(tree, strangers)
		if err != nil {
			t.Fatal(err)
		}
		want := map[string]bool{"README.md:2": false, ".ci/run:1": false}
		for _, b := range breaks {
			seen, known := want[b.Where]
			if !known || seen {
				t.Errorf("%q: did not expect %s", w, b)
			}
			want[b.Where] = true
		}
		for where, seen := range want {
			if !seen {
				t.Errorf("%q was not found at %s", w, where)
			}
		}
	}
	name := strings.Trim(strangers[5], "/")
	breaks, err := Words(fstest.MapFS{"doc/" + name + ".md": {Data: []byte("x")}}, strangers)
	if err != nil || len(breaks) != 1 {
		t.Errorf("a file named after a stranger gave %v, %v", breaks, err)
	}
}

func TestTablesOfThisHouse(t *testing.T) {
	breaks, err := Tables(os.DirFS(root(t)))
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range breaks {
		t.Error(b)
	}
}

func TestTableRule(t *testing.T) {
	const whole = "# Source: iso286 table 1\n# Units: mm\n# Digits: 3\n# Tolerance: 0, exact\na,b\n1,2\n"
	for _, c := range []struct {
		name, file, text string
		want             []string // places
	}{
		{"whole", "internal/a/testdata/t.csv", whole, nil},
		{"no header at all", "internal/a/testdata/t.csv", "a,b\n1,2\n",
			[]string{"internal/a/testdata/t.csv:1", "internal/a/testdata/t.csv:2", "internal/a/testdata/t.csv:3", "internal/a/testdata/t.csv:4"}},
		{"an empty file", "internal/a/testdata/t.csv", "",
			[]string{"internal/a/testdata/t.csv:1", "internal/a/testdata/t.csv:2", "internal/a/testdata/t.csv:3", "internal/a/testdata/t.csv:4"}},
		{"no digits", "internal/a/testdata/t.csv", strings.Replace(whole, "# Digits", "# Figures", 1),
			[]string{"internal/a/testdata/t.csv:3"}},
		{"a tolerance without a word", "internal/a/testdata/t.csv", strings.Replace(whole, " 0, exact", " ", 1),
			[]string{"internal/a/testdata/t.csv:4"}},
		{"a sheet of readings", "internal/a/testdata/sheets/t.csv", "position,value\n", nil},
		{"a table in a folder", "internal/a/testdata/tables/t.csv", strings.Replace(whole, "# Units", "# Unit", 1),
			[]string{"internal/a/testdata/tables/t.csv:2"}},
		{"not test data", "data/plan.csv", "a,b\n", nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			breaks, err := Tables(fstest.MapFS{c.file: {Data: []byte(c.text)}})
			if err != nil {
				t.Fatal(err)
			}
			var got []string
			for _, b := range breaks {
				got = append(got, b.Where)
			}
			if strings.Join(got, " ") != strings.Join(c.want, " ") {
				t.Errorf("broken at %v, want %v", got, c.want)
			}
		})
	}
}
