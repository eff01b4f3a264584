package house

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path"
	"strconv"
	"strings"
)

// Imports holds every Go file that is not a test against the plan: imports that
// lead upward, sideways or from no known floor, files embedded where none may
// be, and, below the edge, what reaches outside the program.
//
// module is the module's own path, as go.mod gives it. Tests are free: they
// load the real data and read files.
func Imports(tree fs.FS, module string, plan Lattice) ([]Break, error) {
	var breaks []Break
	err := walk(tree, func(name string) error {
		if !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go") || ignored(name) {
			return nil
		}
		src, err := fs.ReadFile(tree, name)
		if err != nil {
			return err
		}
		set := token.NewFileSet()
		file, err := parser.ParseFile(set, name, src, parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		breaks = append(breaks, checkFile(set, file, name, module, plan)...)
		return nil
	})
	return breaks, err
}

// ignored says which folders the go command passes over.
func ignored(name string) bool {
	for _, part := range strings.Split(path.Dir(name), "/") {
		if part == "testdata" || part == "vendor" || strings.HasPrefix(part, "_") {
			return true
		}
	}
	return false
}

// checkFile holds one parsed file against the plan.
func checkFile(set *token.FileSet, file *ast.File, name, module string, plan Lattice) []Break {
	dir := path.Dir(name)
	here, ok := plan.floor(dir)
	if !ok {
		return []Break{{name, fmt.Sprintf("%s lies on no floor; give it one in internal/house/lattice.go", dir)}}
	}
	var breaks []Break
	names := map[string]string{} // the name a file uses -> the path it imports
	for _, spec := range file.Imports {
		to, err := strconv.Unquote(spec.Path.Value)
		if err != nil {
			panic("house: the parser let a bad import path through: " + spec.Path.Value)
		}
		names[importName(spec, to)] = to
		what := ""
		switch {
		case to == module || strings.HasPrefix(to, module+"/"):
			what = plan.crossing(here, dir, strings.TrimPrefix(strings.TrimPrefix(to, module), "/"))
		case to == "embed":
			if here.Embeds == "" {
				what = "embeds files, and " + here.Path + " may not"
			}
		case !here.Edge:
			what = reachesOut(to)
		}
		if what != "" {
			breaks = append(breaks, Break{at(name, set.Position(spec.Pos()).Line), what})
		}
	}
	if !here.Edge {
		breaks = append(breaks, senses(set, file, name, names)...)
	}
	return breaks
}

// importName is the name under which a file knows an import.
func importName(spec *ast.ImportSpec, to string) string {
	if spec.Name != nil {
		return spec.Name.Name
	}
	base := path.Base(to)
	if len(base) > 1 && base[0] == 'v' && strings.Trim(base[1:], "0123456789") == "" {
		base = path.Base(path.Dir(to))
	}
	return base
}

// crossing says what is wrong with an import from one folder to another, or
// nothing.
func (l Lattice) crossing(here Floor, dir, to string) string {
	there, ok := l.floor(to)
	if !ok {
		return fmt.Sprintf("imports %s, which lies on no floor", to)
	}
	if here.Path == there.Path {
		from, other := room(here, dir), room(there, to)
		if from == other || l.allows(from, other) || here.Path == "internal/house" {
			return ""
		}
		return fmt.Sprintf("imports its sibling %s: siblings are strangers unless an exception names them", other)
	}
	for _, below := range here.Below {
		if below == there.Path {
			return ""
		}
	}
	return fmt.Sprintf("imports %s, which does not lie below %s", to, here.Path)
}
