// Package house checks the house itself: which room may import which, what the
// rooms below the edge may not touch, whether every cited source exists,
// whether every published table has its header, and whether a word stands in
// the tree that has no business there.
//
// Each check is a function over a file tree, so that its own tests run it on
// small trees that break the rule. Nothing imports this package.
package house

import (
	"fmt"
	"io/fs"
	"path"
	"strings"
)

// Break is one place where a rule does not hold.
type Break struct {
	Where string // file, with the line where one is known
	What  string
}

func (b Break) String() string { return b.Where + ": " + b.What }

func at(file string, line int) string { return fmt.Sprintf("%s:%d", file, line) }

// walk calls visit with every regular file of the tree that is ours: build
// output, caches and the version history are left out.
func walk(tree fs.FS, visit func(name string) error) error {
	return fs.WalkDir(tree, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		base := path.Base(name)
		if d.IsDir() {
			hidden := strings.HasPrefix(base, ".") && name != "." && base != ".ci"
			if hidden || name == "bin" || base == "node_modules" {
				return fs.SkipDir
			}
			return nil
		}
		if !d.Type().IsRegular() {
			return nil
		}
		return visit(name)
	})
}
