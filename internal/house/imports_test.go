package house

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"
)

const module = "fettle"

// root is the checkout: the nearest folder above with a go.mod.
func root(t *testing.T) string {
	t.Helper()
	dir, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			return dir
		}
		up := filepath.Dir(dir)
		if up == dir {
			t.Fatal("no go.mod above the house test")
		}
		dir = up
	}
}

func TestImportsOfThisHouse(t *testing.T) {
	tree := os.DirFS(root(t))
	breaks, err := Imports(tree, module, Plan())
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range breaks {
		t.Error(b)
	}
}

// TestImportRules breaks each rule once in a small tree, and holds as many
// lawful trees beside them.
func TestImportRules(t *testing.T) {
	for _, c := range []struct {
		name string
		file string
		src  string // after the package clause
		want string // "" where the file is lawful
	}{
		{"down is allowed", "internal/physics/crank/a.go", `import _ "fettle/internal/base/unit"`, ""},
		{"down two floors", "internal/judge/model/a.go", `import _ "fettle/internal/base/cite"`, ""},
		{"upward", "internal/base/unit/a.go", `import _ "fettle/internal/maths/gum"`, "does not lie below internal/base"},
		{"physics knows no files", "internal/physics/film/a.go", `import _ "fettle/internal/know/family"`, "does not lie below internal/physics"},
		{"knowledge knows no mathematics", "internal/know/family/a.go", `import _ "fettle/internal/maths/gum"`, "does not lie below internal/know"},
		{"facts know no physics", "internal/facts/job/a.go", `import _ "fettle/internal/physics/crank"`, "does not lie below internal/facts"},
		{"judgement shows nothing", "internal/judge/assess/a.go", `import _ "fettle/internal/show/plot"`, "does not lie below internal/judge"},
		{"pages reach no store", "internal/show/page/a.go", `import _ "fettle/internal/edge/store"`, "does not lie below internal/show"},
		{"the store judges nothing", "internal/edge/store/a.go", `import _ "fettle/internal/judge/assess"`, "does not lie below internal/edge/store"},
		{"the web uses the store", "internal/edge/web/a.go", `import _ "fettle/internal/edge/store"`, ""},
		{"the command line starts the web", "internal/edge/cli/a.go", `import _ "fettle/internal/edge/web"`, ""},
		{"the web starts no command line", "internal/edge/web/a.go", `import _ "fettle/internal/edge/cli"`, "does not lie below internal/edge/web"},
		{"data is for cmd", "cmd/fettle/main.go", `import _ "fettle/data"`, ""},
		{"data is not for the web", "internal/edge/web/a.go", `import _ "fettle/data"`, "imports data"},
		{"data is not for judgement", "internal/judge/assess/a.go", `import _ "fettle/data"`, "imports data"},
		{"the demo judges nothing", "internal/demo/a.go", `import _ "fettle/internal/judge/model"`, "does not lie below internal/demo"},
		{"the demo may use physics", "internal/demo/a.go", `import _ "fettle/internal/physics/crank"`, ""},
		{"nobody imports the house", "cmd/fettle/main.go", `import _ "fettle/internal/house"`, "imports internal/house"},
		{"a room of no floor", "internal/misc/a.go", ``, "lies on no floor"},
		{"a folder of no floor", "tools/gen/a.go", ``, "lies on no floor"},
		{"an import of no floor", "internal/edge/web/a.go", `import _ "fettle/internal/misc"`, "which lies on no floor"},

		{"siblings in physics", "internal/physics/film/a.go", `import _ "fettle/internal/physics/crank"`, "sibling physics/crank"},
		{"siblings in mathematics", "internal/maths/form/a.go", `import _ "fettle/internal/maths/gum"`, "sibling maths/gum"},
		{"siblings in judgement", "internal/judge/compute/a.go", `import _ "fettle/internal/judge/assess"`, "sibling judge/assess"},
		{"a named exception", "internal/judge/assess/a.go", `import _ "fettle/internal/judge/compute"`, ""},
		{"a starred exception", "internal/facts/shop/a.go", `import _ "fettle/internal/facts/entry"`, ""},
		{"a star does not work backwards", "internal/facts/entry/a.go", `import _ "fettle/internal/facts/shop"`, "sibling facts/shop"},
		{"deeper in the same room", "internal/know/family/parse/a.go", `import _ "fettle/internal/know/family"`, ""},

		{"disk", "internal/judge/build/a.go", `import _ "os"`, "imports os (disk"},
		{"processes", "internal/judge/build/a.go", `import _ "os/exec"`, "imports os/exec"},
		{"old disk", "internal/judge/build/a.go", `import _ "io/ioutil"`, "imports io/ioutil"},
		{"network", "internal/show/page/a.go", `import _ "net/http"`, "imports net/http (network)"},
		{"bare network", "internal/facts/job/a.go", `import _ "net"`, "imports net (network)"},
		{"the machine", "internal/maths/gum/a.go", `import _ "syscall"`, "imports syscall"},
		{"random from the machine", "internal/demo/a.go", `import _ "crypto/rand"`, "unseeded chance"},
		{"the edge may", "internal/edge/cli/a.go", `import ("os"; "time"); var _, _ = os.Args, time.Now`, ""},
		{"the clock", "internal/facts/entry/a.go", `import "time"; var now = time.Now()`, "time.Now (the clock)"},
		{"the clock under another name", "internal/facts/entry/a.go", `import t "time"; var now = t.Now`, "t.Now (the clock)"},
		{"the clock behind a dot", "internal/facts/entry/a.go", `import . "time"; var now = Now()`, "with a dot"},
		{"a time as a value", "internal/facts/entry/a.go", `import "time"; var day time.Time`, ""},
		{"unseeded chance", "internal/maths/gum/a.go", `import "math/rand/v2"; var x = rand.Float64()`, "unseeded chance"},
		{"unseeded chance of old", "internal/maths/gum/a.go", `import "math/rand"; var x = rand.Intn(3)`, "unseeded chance"},
		{"seeded chance", "internal/maths/gum/a.go", `import "math/rand/v2"; var r = rand.New(rand.NewPCG(1, 2))`, ""},
		{"the terminal", "internal/judge/plan/a.go", `import "fmt"; func f() { fmt.Println() }`, "the terminal"},
		{"words in memory", "internal/judge/plan/a.go", `import "fmt"; func f() string { return fmt.Sprint(1) }`, ""},
		{"templates from disk", "internal/show/page/a.go", `import "html/template"; var x = template.ParseFiles`, "(disk)"},

		{"embedded knowledge", "data/embed.go", `import _ "embed"`, ""},
		{"embedded templates", "internal/show/page/a.go", `import _ "embed"`, ""},
		{"an embedded table of physics", "internal/physics/film/a.go", `import _ "embed"`, ""},
		{"judgement embeds nothing", "internal/judge/assess/a.go", `import _ "embed"`, "embeds files"},

		{"tests are free", "internal/judge/assess/a_test.go", `import (_ "os"; _ "fettle/data")`, ""},
		{"testdata is not ours", "internal/judge/assess/testdata/a.go", `import _ "os"`, ""},
		{"the cache is not ours", ".cache/home/go/pkg/mod/x/a.go", `import _ "os"`, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			tree := fstest.MapFS{c.file: {Data: []byte("package p\n" + c.src + "\n")}}
			breaks, err := Imports(tree, module, Plan())
			if err != nil {
				t.Fatal(err)
			}
			switch {
			case c.want == "" && len(breaks) > 0:
				t.Errorf("lawful, but refused: %v", breaks)
			case c.want != "" && len(breaks) != 1:
				t.Errorf("%d breaks, want one with %q: %v", len(breaks), c.want, breaks)
			case c.want != "" && !strings.Contains(breaks[0].String(), c.want):
				t.Errorf("got %q, want %q in it", breaks[0], c.want)
			}
		})
	}
}

// TestPlanIsALattice holds the table itself: no floor lies below itself, each
// named floor exists, and each exception has a reason and is between siblings.
func TestPlanIsALattice(t *testing.T) {
	plan := Plan()
	below := map[string]map[string]bool{}
	for _, f := range plan.Floors {
		below[f.Path] = map[string]bool{}
		for _, b := range f.Below {
			if _, ok := plan.floor(b); !ok {
				t.Errorf("%s names %s, which is no floor", f.Path, b)
			}
			if below[b][f.Path] || b == f.Path {
				t.Errorf("%s and %s lie below each other", f.Path, b)
			}
			below[f.Path][b] = true
		}
	}
	for _, f := range plan.Floors {
		for b := range below[f.Path] {
			for c := range below[b] {
				if !below[f.Path][c] {
					t.Errorf("%s may import %s, and that %s, but %s not directly", f.Path, b, c, f.Path)
				}
			}
		}
	}
	for _, e := range plan.Exceptions {
		from, _, _ := strings.Cut(e.From, "/")
		to, _, _ := strings.Cut(e.To, "/")
		if from != to || e.Why == "" {
			t.Errorf("exception %s -> %s: want siblings and a reason, got %q", e.From, e.To, e.Why)
		}
	}
}

func TestStarStaysOnItsFloor(t *testing.T) {
	for _, c := range []struct {
		pattern, room string
		want          bool
	}{
		{"facts/*", "facts/job", true},
		{"facts/*", "know/job", false},
		{"facts/*", "facts", false},
		{"facts/entry", "facts/entry", true},
		{"facts/entry", "facts/entries", false},
	} {
		if got := matches(c.pattern, c.room); got != c.want {
			t.Errorf("matches(%q, %q) = %v", c.pattern, c.room, got)
		}
	}
}
