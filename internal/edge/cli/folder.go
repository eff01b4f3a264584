package cli

import (
	"os"
	"path/filepath"
	"sort"
	"syscall"

	"fettle/internal/base/fault"
)

// plotsIn is the folder of the plots. SVG files that stand in it from an
// earlier run and are not made again go, so that a folder never holds the
// results of two runs.
const plotsIn = "plots"

// write puts files into a folder: all of them, or the folder stays as it was.
// They are written beside one another first; then each takes its name, and
// where one cannot, those before it give theirs back.
func write(dir string, files map[string][]byte) error {
	if err := replace(dir, files); err != nil {
		return fault.New(fault.Refused, "cli.no-out", "dir", dir, "error", plain(err)).Because(err)
	}
	return nil
}

func replace(dir string, files map[string][]byte) (err error) {
	made := highest(dir)
	if err := os.MkdirAll(dir, 0o755); err != nil {
		undo(made)
		return err
	}
	stage, err := os.MkdirTemp(dir, ".fettle-")
	if err != nil {
		undo(made)
		return err
	}
	m := moves{dir: dir, fresh: filepath.Join(stage, "new"), old: filepath.Join(stage, "old")}
	defer func() {
		if err != nil {
			m.back()
		}
		os.RemoveAll(stage)
		if err != nil {
			undo(made)
		}
	}()
	names := sorted(files)
	for _, name := range names {
		to := filepath.Join(m.fresh, name)
		if err := os.MkdirAll(filepath.Dir(to), 0o755); err != nil {
			return err
		}
		if err := os.WriteFile(to, files[name], 0o644); err != nil {
			return err
		}
	}
	stale, err := filepath.Glob(filepath.Join(escaped(dir), plotsIn, "*.svg"))
	if err != nil {
		return err
	}
	for _, was := range stale {
		if err := m.aside(filepath.Join(plotsIn, filepath.Base(was))); err != nil {
			return err
		}
	}
	for _, name := range names {
		if err := m.take(name); err != nil {
			return err
		}
	}
	return nil
}

// moves are the changes of name made so far.
type moves struct {
	dir, fresh, old string
	done            []func() error // each takes one change back
}

// aside moves a file of the folder out of the way, if it is there.
func (m *moves) aside(name string) error {
	from, to := filepath.Join(m.dir, name), filepath.Join(m.old, name)
	at, err := os.Lstat(from)
	if os.IsNotExist(err) {
		return nil
	}
	if err != nil {
		return err
	}
	if at.IsDir() {
		return &os.PathError{Op: "replace", Path: from, Err: syscall.EISDIR}
	}
	if err := os.MkdirAll(filepath.Dir(to), 0o755); err != nil {
		return err
	}
	if err := os.Rename(from, to); err != nil {
		return err
	}
	m.done = append(m.done, func() error { return os.Rename(to, from) })
	return nil
}

// take gives a new file its place.
func (m *moves) take(name string) error {
	if err := m.aside(name); err != nil {
		return err
	}
	from, to := filepath.Join(m.fresh, name), filepath.Join(m.dir, name)
	made := highest(filepath.Dir(to))
	if err := os.MkdirAll(filepath.Dir(to), 0o755); err != nil {
		return err
	}
	if made != "" {
		m.done = append(m.done, func() error { undo(made); return nil })
	}
	if err := os.Rename(from, to); err != nil {
		return err
	}
	m.done = append(m.done, func() error { return os.Remove(to) })
	return nil
}

// back undoes every change, the last one first.
func (m *moves) back() {
	for i := len(m.done) - 1; i >= 0; i-- {
		_ = m.done[i]() // the first error is the one that is told
	}
}

// highest is the uppermost folder that would have to be made for dir; "" where
// dir is there.
func highest(dir string) string {
	top := ""
	for {
		if _, err := os.Lstat(dir); err == nil {
			return top
		}
		top = dir
		up := filepath.Dir(dir)
		if up == dir {
			return top
		}
		dir = up
	}
}

// undo takes away folders that this run made.
func undo(made string) {
	if made != "" {
		_ = os.RemoveAll(made)
	}
}

// escaped is a folder's name with nothing in it that Glob takes for a pattern.
func escaped(dir string) string {
	var out []rune
	for _, c := range dir {
		switch c {
		case '*', '?', '[', '\\':
			if os.PathSeparator != '\\' {
				out = append(out, '\\')
			}
		}
		out = append(out, c)
	}
	return string(out)
}

func sorted[T any](m map[string]T) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	sort.Strings(out)
	return out
}

// plain is what the system says of an error, without the path.
func plain(err error) string {
	for {
		switch e := err.(type) {
		case *os.PathError:
			err = e.Err
		case *os.LinkError:
			err = e.Err
		case *os.SyscallError:
			err = e.Err
		default:
			return err.Error()
		}
	}
}
