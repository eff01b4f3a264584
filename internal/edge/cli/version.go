package cli

import (
	"fmt"
	"runtime/debug"
)

// version of this program; a release changes it here and in the change log.
const version = "0.1.0"

// program names what writes a record.
func program() string { return "fettle " + version }

// versionCmd prints the version.
type versionCmd struct {
	JSON bool `name:"json" help:"json"`
}

// Run prints it.
func (c *versionCmd) Run(s *shell) error {
	goVersion := ""
	if info, ok := debug.ReadBuildInfo(); ok {
		goVersion = info.GoVersion
	}
	if c.JSON {
		return s.print(map[string]string{"program": "fettle", "version": version, "go": goVersion})
	}
	fmt.Fprintln(s.Out, program())
	return nil
}
