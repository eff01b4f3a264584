package house

import (
	"bytes"
	"fmt"
	"io/fs"
	"strings"
)

// Strangers lists what must not stand anywhere in the tree: places that exist
// on one machine only, registry hosts (the clients know their own), and the
// names of tools that say how the code came to be rather than what it does.
// Each is spelled with a bar inside, so that this list does not find itself.
func Strangers() []string {
	list := []string{
		"/wo|rk/",
		"../sha|red",
		"proxy.gol|ang.org",
		"registry.npm|js",
		"deb.deb|ian.org",
		"cla|ude",
		"helper a|gent",
	}
	for i, w := range list {
		list[i] = strings.ReplaceAll(w, "|", "")
	}
	return list
}

// Words finds the strangers in names and texts, in any case of letters.
// Pictures, fonts and other files with a zero byte in their first 8 kB are
// passed over, but not their names.
func Words(tree fs.FS, strangers []string) ([]Break, error) {
	var breaks []Break
	err := walk(tree, func(name string) error {
		for _, w := range strangers {
			if strings.Contains("/"+strings.ToLower(name), w) {
				breaks = append(breaks, Break{name, fmt.Sprintf("the name contains %q", w)})
			}
		}
		text, err := fs.ReadFile(tree, name)
		if err != nil {
			return err
		}
		if bytes.IndexByte(text[:min(len(text), 8192)], 0) >= 0 {
			return nil
		}
		text = bytes.ToLower(text)
		for _, w := range strangers {
			if i := bytes.Index(text, []byte(w)); i >= 0 {
				line := 1 + bytes.Count(text[:i], []byte("\n"))
				breaks = append(breaks, Break{at(name, line), fmt.Sprintf("contains %q", w)})
			}
		}
		return nil
	})
	return breaks, err
}
