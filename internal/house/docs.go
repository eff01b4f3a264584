package house

import (
	"fmt"
	"io/fs"
	"path"
	"regexp"
	"sort"
	"strings"
)

// The pages of doc/ begin at the README, and the list of words claims that its
// terms stand in the code.
const (
	docStart = "README.md"
	docWords = "doc/words.md"
	docSteps = 2
)

// Docs finds relative links of the README, of the other pages at the root and
// of doc/ that lead nowhere, pages of doc/ that are more than two steps from
// the README, and code names in the list of words that no code has.
func Docs(tree fs.FS) ([]Break, error) {
	d := docs{pages: map[string]string{}, files: map[string]bool{".": true}}
	if err := walk(tree, func(name string) error { return d.take(tree, name) }); err != nil {
		return nil, err
	}
	names := make([]string, 0, len(d.pages))
	for n := range d.pages {
		names = append(names, n)
	}
	sort.Strings(names)
	for _, n := range names {
		d.links(n)
	}
	d.reach(names)
	return d.breaks, d.named(tree)
}

type docs struct {
	pages  map[string]string // Markdown without code
	files  map[string]bool   // files and folders
	next   map[string][]string
	breaks []Break
}

func (d *docs) take(tree fs.FS, name string) error {
	for dir := name; dir != "."; dir = path.Dir(dir) {
		d.files[dir] = true
	}
	if path.Ext(name) != ".md" || strings.Contains(name, "/") && !strings.HasPrefix(name, "doc/") {
		return nil
	}
	text, err := fs.ReadFile(tree, name)
	d.pages[name] = prose(string(text))
	return err
}

var (
	fenced   = regexp.MustCompile("(?ms)^```.*?^```$")
	indented = regexp.MustCompile("(?m)^    .*$")
	inline   = regexp.MustCompile("`[^`\n]*`")
	link     = regexp.MustCompile(`\]\(([^)\s]+)\)`)
	heading  = regexp.MustCompile(`(?m)^#+ +(.+)$`)
	odd      = regexp.MustCompile(`[^\pL\pN _-]`)
)

// prose blanks out code, line for line, so that places stay right.
func prose(text string) string {
	blank := func(s string) string { return strings.Repeat("\n", strings.Count(s, "\n")) }
	text = fenced.ReplaceAllStringFunc(text, blank)
	return inline.ReplaceAllString(indented.ReplaceAllString(text, ""), "")
}

// anchors are the headings of a page as links name them.
func anchors(text string) map[string]bool {
	out := map[string]bool{}
	for _, m := range heading.FindAllStringSubmatch(text, -1) {
		out[strings.ReplaceAll(odd.ReplaceAllString(strings.ToLower(strings.TrimSpace(m[1])), ""), " ", "-")] = true
	}
	return out
}

func (d *docs) links(name string) {
	for i, line := range strings.Split(d.pages[name], "\n") {
		for _, m := range link.FindAllStringSubmatch(line, -1) {
			to, part, _ := strings.Cut(m[1], "#")
			if strings.Contains(to, ":") {
				continue // leads away from the tree
			}
			file := name
			if to != "" {
				file = path.Join(path.Dir(name), to)
			}
			page, isPage := d.pages[file]
			switch {
			case !d.files[file]:
				d.breaks = append(d.breaks, Break{at(name, i+1), fmt.Sprintf("links to %s, which is not there", m[1])})
			case part != "" && isPage && !anchors(page)[part]:
				d.breaks = append(d.breaks, Break{at(name, i+1), fmt.Sprintf("links to %s, which has no such heading", m[1])})
			case isPage:
				if d.next == nil {
					d.next = map[string][]string{}
				}
				d.next[name] = append(d.next[name], file)
			}
		}
	}
}

func (d *docs) reach(names []string) {
	steps := map[string]int{docStart: 0}
	for queue := []string{docStart}; len(queue) > 0; queue = queue[1:] {
		for _, n := range d.next[queue[0]] {
			if _, ok := steps[n]; !ok {
				steps[n] = steps[queue[0]] + 1
				queue = append(queue, n)
			}
		}
	}
	for _, n := range names {
		if !strings.HasPrefix(n, "doc/") {
			continue
		}
		if s, ok := steps[n]; !ok || s > docSteps {
			d.breaks = append(d.breaks, Break{n, fmt.Sprintf("is not reached from %s within %d steps", docStart, docSteps)})
		}
	}
}

// named checks the second column of each table of the list of words: every name
// in backticks stands in the code or in a knowledge file as a whole word.
func (d *docs) named(tree fs.FS) error {
	text, err := fs.ReadFile(tree, docWords)
	if err != nil {
		return nil // a tree without the list claims nothing
	}
	var code strings.Builder
	code.WriteByte('\n')
	err = walk(tree, func(name string) error {
		ours := strings.HasPrefix(name, "internal/") && path.Ext(name) == ".go" && !strings.HasSuffix(name, "_test.go")
		if !ours && !strings.HasPrefix(name, "data/") || strings.HasPrefix(name, "internal/house/") {
			return nil
		}
		b, err := fs.ReadFile(tree, name)
		code.Write(b)
		code.WriteByte('\n')
		return err
	})
	all := code.String()
	for i, line := range strings.Split(string(text), "\n") {
		cells := strings.Split(line, "|")
		if len(cells) < 4 || !strings.HasPrefix(line, "|") {
			continue
		}
		for _, m := range inline.FindAllString(cells[2], -1) {
			if id := strings.Trim(m, "`"); !stands(all, id) {
				d.breaks = append(d.breaks, Break{at(docWords, i+1), fmt.Sprintf("says that %s is in the code, which it is not", id)})
			}
		}
	}
	return err
}

// stands looks a name up as a whole word. Of a name such as assess.Value both
// the package and a type or function must be there.
func stands(all, id string) bool {
	if pkg, name, ok := strings.Cut(id, "."); ok && name != "" && strings.ToUpper(name[:1]) == name[:1] {
		return strings.Contains(all, "\npackage "+pkg+"\n") &&
			(strings.Contains(all, "\ntype "+name+" ") || strings.Contains(all, "\nfunc "+name+"("))
	}
	for from := 0; ; {
		i := strings.Index(all[from:], id)
		if i < 0 {
			return false
		}
		i += from
		if !joins(all[i-1]) && !joins(all[i+len(id)]) {
			return true
		}
		from = i + 1
	}
}

// joins reports a byte that makes a longer name of one beside it.
func joins(c byte) bool {
	return c == '_' || c == '-' || c == '/' || c >= 0x80 || c >= '0' && c <= '9' || c|0x20 >= 'a' && c|0x20 <= 'z'
}
