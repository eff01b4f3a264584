package house

import (
	"fmt"
	"io/fs"
	"path"
	"strings"
)

// Tables finds published tables without their header. A published table is a
// CSV file directly in a testdata folder, or one in a folder below it whose
// first line begins with "# Source": it opens with four lines that say where it
// comes from, in which units, with how many printed digits, and how close a
// result must come and why. CSV files that a test only reads in, such as a
// sheet of readings, lie in a folder of their own below testdata.
func Tables(tree fs.FS) ([]Break, error) {
	var breaks []Break
	err := walk(tree, func(name string) error {
		_, below, ok := strings.Cut("/"+name, "/testdata/")
		if !ok || path.Ext(name) != ".csv" {
			return nil
		}
		text, err := fs.ReadFile(tree, name)
		if err != nil {
			return err
		}
		if strings.Contains(below, "/") && !strings.HasPrefix(string(text), "# Source") {
			return nil
		}
		lines := strings.SplitN(string(text), "\n", 5)
		for i, head := range []string{"# Source:", "# Units:", "# Digits:", "# Tolerance:"} {
			rest, ok := "", false
			if i < len(lines) {
				rest, ok = strings.CutPrefix(lines[i], head)
			}
			if !ok || strings.TrimSpace(rest) == "" {
				breaks = append(breaks, Break{at(name, i+1), fmt.Sprintf("a published table has %q here, and something after it", head)})
			}
		}
		return nil
	})
	return breaks, err
}
