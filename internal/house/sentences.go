package house

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"regexp"
	"sort"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v3"
)

// Book is where the English sentences stand.
const Book = "data/words/en.yaml"

// Blocks are the rooms whose sentences are held against their code from both
// sides: each key that the code names has a sentence, and each sentence is
// named by code. Of other rooms only the former is checked, where a key stands
// in a call that makes a fault.
func Blocks() []string {
	return []string{"unit", "file", "family", "entry", "readings", "plan"}
}

// Sentences finds keys without a sentence, sentences without a use, and
// sentences that ask for an argument which the call does not hand over.
func Sentences(tree fs.FS, blocks []string) ([]Break, error) {
	text, err := fs.ReadFile(tree, Book)
	if err != nil {
		return nil, err
	}
	s := &sentences{say: map[string]string{}, used: map[string]bool{}, set: token.NewFileSet(),
		block: regexp.MustCompile(`^(` + strings.Join(blocks, "|") + `)\.[a-z0-9-]+$`)}
	if err := yaml.Unmarshal(text, &s.say); err != nil {
		return []Break{{Book, err.Error()}}, nil
	}
	err = walk(tree, func(name string) error {
		if !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go") || ignored(name) || strings.HasPrefix(name, "internal/house/") {
			return nil
		}
		src, err := fs.ReadFile(tree, name)
		if err != nil {
			return err
		}
		file, err := parser.ParseFile(s.set, name, src, parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		s.file(file, name)
		return nil
	})
	for key, sentence := range s.say {
		line := 1 + strings.Count(string(text[:max(0, strings.Index(string(text), "\n"+key+":")+1)]), "\n")
		if strings.TrimSpace(sentence) == "" {
			s.breaks = append(s.breaks, Break{at(Book, line), key + " has no words"})
		}
		if s.block.MatchString(key) && !s.used[key] {
			s.breaks = append(s.breaks, Break{at(Book, line), key + " is used by no code"})
		}
	}
	sort.Slice(s.breaks, func(i, j int) bool { return s.breaks[i].String() < s.breaks[j].String() })
	return s.breaks, err
}

type sentences struct {
	say    map[string]string
	used   map[string]bool
	set    *token.FileSet
	block  *regexp.Regexp
	breaks []Break
}

func (s *sentences) file(file *ast.File, name string) {
	told := map[string]bool{} // one break a key and line
	miss := func(pos token.Pos, key string) {
		where := at(name, s.set.Position(pos).Line)
		if _, ok := s.say[key]; !ok && !told[where+key] {
			told[where+key] = true
			s.breaks = append(s.breaks, Break{where, key + " has no sentence in " + Book})
		}
	}
	ast.Inspect(file, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.ImportSpec:
			return false
		case *ast.BasicLit:
			if key, ok := literal(n); ok {
				s.used[key] = true
				if s.block.MatchString(key) && !fileName(key) {
					miss(n.Pos(), key)
				}
			}
		case *ast.CallExpr:
			i := keyArgument(n, file.Name.Name)
			if i < 0 {
				return true
			}
			key, _ := literal(n.Args[i])
			miss(n.Args[i].Pos(), key)
			s.arguments(n, i, key, name)
		}
		return true
	})
}

// arguments holds the braces of a sentence against the names that a call hands
// over, where these can be read from the call alone.
func (s *sentences) arguments(call *ast.CallExpr, i int, key, name string) {
	if call.Ellipsis != token.NoPos {
		return
	}
	given := map[string]bool{}
	for k := i + 1; k < len(call.Args); k += 2 {
		arg, ok := literal(call.Args[k])
		if !ok {
			return
		}
		given[arg] = true
	}
	if called(call) == "knows" {
		given["found"] = true
	}
	for _, m := range regexp.MustCompile(`\{([^}]*)\}`).FindAllStringSubmatch(s.say[key], -1) {
		if !given[m[1]] {
			s.breaks = append(s.breaks, Break{at(name, s.set.Position(call.Pos()).Line),
				fmt.Sprintf("the sentence of %s asks for {%s}, which is not handed over", key, m[1])})
		}
	}
}

// keyArgument is which argument of a call is the literal key of a sentence, -1
// where the call makes no fault or takes its key from elsewhere.
func keyArgument(call *ast.CallExpr, pkg string) int {
	i := -1
	switch called(call) {
	case "fault.New":
		i = 1
	case "New":
		if pkg == "fault" {
			i = 1
		}
	case "say", "Fault":
		i = 1
		if !keyAt(call, 1) { // say(key, ...) without a place before it
			i = 0
		}
	case "knows":
		i = 3
	}
	if i >= 0 && keyAt(call, i) {
		return i
	}
	return -1
}

func keyAt(call *ast.CallExpr, i int) bool {
	if i >= len(call.Args) {
		return false
	}
	key, ok := literal(call.Args[i])
	return ok && regexp.MustCompile(`^[a-z]+(\.[a-z0-9-]+)+$`).MatchString(key)
}

// called is the name of the function of a call, with its package where that is
// fault.
func called(call *ast.CallExpr) string {
	switch f := call.Fun.(type) {
	case *ast.Ident:
		return f.Name
	case *ast.SelectorExpr:
		if x, ok := f.X.(*ast.Ident); ok && x.Name == "fault" {
			return "fault." + f.Sel.Name
		}
		if f.Sel.Name != "New" {
			return f.Sel.Name
		}
	}
	return ""
}

func literal(e ast.Expr) (string, bool) {
	lit, ok := e.(*ast.BasicLit)
	if !ok || lit.Kind != token.STRING {
		return "", false
	}
	s, err := strconv.Unquote(lit.Value)
	return s, err == nil
}

// fileName tells the name of a file from a key of the same shape.
func fileName(s string) bool {
	for _, end := range []string{".yaml", ".csv", ".json", ".md"} {
		if strings.HasSuffix(s, end) {
			return true
		}
	}
	return false
}
