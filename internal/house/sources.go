package house

import (
	"errors"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path"
	"strconv"
	"strings"

	"github.com/goccy/go-yaml"
	yamlast "github.com/goccy/go-yaml/ast"
	yamlparser "github.com/goccy/go-yaml/parser"
)

// ErrNoSources says that the tree has no list of sources.
var ErrNoSources = errors.New(sourceList + " does not exist")

// Citation is a source key and the place that leans on it.
type Citation struct{ Where, Key string }

// Sources finds cited keys that no source list declares. It returns
// ErrNoSources when there is no list to look in.
func Sources(tree fs.FS) ([]Break, error) {
	declared, err := declaredKeys(tree)
	if err != nil {
		return nil, err
	}
	cited, err := Citations(tree)
	if err != nil {
		return nil, err
	}
	var breaks []Break
	for _, c := range cited {
		if !declared[c.Key] {
			breaks = append(breaks, Break{c.Where, fmt.Sprintf("cites %q, which %s does not declare", c.Key, sourceList)})
		}
	}
	return breaks, nil
}

// sourceList is where the keys are declared: entries with an "id" under
// "sources".
const sourceList = "data/sources.yaml"

// declaredKeys reads the source list.
func declaredKeys(tree fs.FS) (map[string]bool, error) {
	text, err := fs.ReadFile(tree, sourceList)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, ErrNoSources
	}
	if err != nil {
		return nil, err
	}
	var list struct{ Sources []struct{ ID string } }
	if err := yaml.Unmarshal(text, &list); err != nil {
		return nil, fmt.Errorf("%s: %w", sourceList, err)
	}
	keys := map[string]bool{}
	for _, s := range list.Sources {
		keys[s.ID] = true
	}
	return keys, nil
}

// Citations finds every source key: in Go files that are no tests, the text of
// cite.Key("…"), of a constant or variable of that type, and of a field named
// Source; in the YAML files of data/, each "source" that is a text or a list of
// texts.
func Citations(tree fs.FS) ([]Citation, error) {
	var cited []Citation
	err := walk(tree, func(name string) error {
		var find func(name string, text []byte) ([]Citation, error)
		switch {
		case strings.HasSuffix(name, "_test.go") || strings.HasPrefix(name, "internal/house/") || ignored(name) || name == sourceList:
			return nil
		case path.Ext(name) == ".go":
			find = goCitations
		case path.Ext(name) == ".yaml" && strings.HasPrefix(name, "data/"):
			find = yamlCitations
		default:
			return nil
		}
		text, err := fs.ReadFile(tree, name)
		if err != nil {
			return err
		}
		more, err := find(name, text)
		cited = append(cited, more...)
		return err
	})
	return cited, err
}

func goCitations(name string, text []byte) ([]Citation, error) {
	set := token.NewFileSet()
	file, err := parser.ParseFile(set, name, text, parser.SkipObjectResolution)
	if err != nil {
		return nil, err
	}
	var cited []Citation
	note := func(e ast.Expr) {
		lit, ok := e.(*ast.BasicLit)
		if !ok || lit.Kind != token.STRING {
			return
		}
		if key, err := strconv.Unquote(lit.Value); err == nil && key != "" {
			cited = append(cited, Citation{at(name, set.Position(lit.Pos()).Line), key})
		}
	}
	ast.Inspect(file, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.CallExpr:
			if isCiteKey(n.Fun) && len(n.Args) == 1 {
				note(n.Args[0])
			}
		case *ast.ValueSpec:
			if isCiteKey(n.Type) {
				for _, v := range n.Values {
					note(v)
				}
			}
		case *ast.KeyValueExpr:
			if field, ok := n.Key.(*ast.Ident); ok && field.Name == "Source" {
				note(n.Value)
			}
		}
		return true
	})
	return cited, nil
}

// isCiteKey recognises the type by its usual spelling.
func isCiteKey(e ast.Expr) bool {
	sel, ok := e.(*ast.SelectorExpr)
	if !ok || sel.Sel.Name != "Key" {
		return false
	}
	x, ok := sel.X.(*ast.Ident)
	return ok && x.Name == "cite"
}

// sourceVisitor gathers the values of every key named "source".
type sourceVisitor struct {
	name  string
	cited []Citation
}

// Visit is called by the YAML library for every node.
func (v *sourceVisitor) Visit(n yamlast.Node) yamlast.Visitor {
	pair, ok := n.(*yamlast.MappingValueNode)
	if !ok || pair.Key.String() != "source" {
		return v
	}
	values := []yamlast.Node{pair.Value}
	if list, ok := pair.Value.(*yamlast.SequenceNode); ok {
		values = list.Values
	}
	for _, value := range values {
		if text, ok := value.(*yamlast.StringNode); ok {
			v.cited = append(v.cited, Citation{at(v.name, text.GetToken().Position.Line), text.Value})
		}
	}
	return v
}

func yamlCitations(name string, text []byte) ([]Citation, error) {
	file, err := yamlparser.ParseBytes(text, 0)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	v := &sourceVisitor{name: name}
	for _, doc := range file.Docs {
		if doc.Body != nil {
			yamlast.Walk(v, doc.Body)
		}
	}
	return v.cited, nil
}
