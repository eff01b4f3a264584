package house

import (
	"fmt"
	"go/ast"
	"go/token"
	"strings"
)

// outside lists what no room below the edge imports, each with the reason. A
// path ending in a slash stands for everything below it.
func outside() [][2]string {
	return [][2]string{
		{"os", "disk and environment"},
		{"os/", "processes and the account"},
		{"io/ioutil", "disk"},
		{"path/filepath", "disk; the package path does for names"},
		{"net", "network"},
		{"net/", "network"},
		{"syscall", "the machine"},
		{"golang.org/x/sys/", "the machine"},
		{"golang.org/x/net/", "network"},
		{"plugin", "disk"},
		{"flag", "the command line"},
		{"log", "standard error"},
		{"log/", "standard error"},
		{"crypto/rand", "unseeded chance"},
		{"database/", "disk"},
		{"modernc.org/sqlite", "disk"},
		{"github.com/pressly/goose/", "disk"},
		{"github.com/chromedp/", "a browser"},
		{"github.com/alecthomas/kong", "the command line"},
		{"github.com/danielgtaylor/huma/", "network"},
	}
}

// reachesOut says what an import touches that only the edge may.
func reachesOut(to string) string {
	if to == "net/url" {
		return "" // writes addresses, reaches nothing
	}
	for _, o := range outside() {
		if to == o[0] || strings.HasSuffix(o[0], "/") && strings.HasPrefix(to, o[0]) {
			return fmt.Sprintf("imports %s (%s), which only the edge may", to, o[1])
		}
	}
	return ""
}

// senses finds uses of the clock, of unseeded chance and of the terminal.
// names gives the import behind each name of the file.
func senses(set *token.FileSet, file *ast.File, name string, names map[string]string) []Break {
	var breaks []Break
	ast.Inspect(file, func(n ast.Node) bool {
		sel, ok := n.(*ast.SelectorExpr)
		if !ok {
			return true
		}
		x, ok := sel.X.(*ast.Ident)
		if !ok {
			return true
		}
		if what := sense(names[x.Name], sel.Sel.Name); what != "" {
			breaks = append(breaks, Break{at(name, set.Position(sel.Pos()).Line),
				fmt.Sprintf("uses %s.%s (%s), which only the edge may", x.Name, sel.Sel.Name, what)})
		}
		return true
	})
	for short, to := range names {
		if short == "." && sense(to, "Now")+sense(to, "Int")+sense(to, "Print") != "" {
			breaks = append(breaks, Break{name, "imports " + to + " with a dot, which hides what it uses"})
		}
	}
	return breaks
}

// sense says what one function of an otherwise harmless package touches.
func sense(pkg, function string) string {
	switch pkg {
	case "time":
		switch function {
		case "Now", "Since", "Until", "Sleep", "After", "AfterFunc", "Tick", "NewTimer", "NewTicker":
			return "the clock"
		}
	case "math/rand", "math/rand/v2":
		switch function {
		case "New", "NewSource", "NewPCG", "NewChaCha8", "NewZipf", "Rand", "Source", "Source64", "PCG", "ChaCha8", "Zipf":
			// These carry a seed; all else draws from the shared source.
		default:
			return "unseeded chance"
		}
	case "fmt":
		switch function {
		case "Print", "Printf", "Println", "Scan", "Scanf", "Scanln":
			return "the terminal"
		}
	case "html/template", "text/template":
		switch function {
		case "ParseFiles", "ParseGlob":
			return "disk"
		}
	}
	return ""
}
