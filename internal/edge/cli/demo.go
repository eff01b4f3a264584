package cli

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path"
	"strings"

	"fettle/internal/base/fault"
	"fettle/internal/demo"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/readings"
	"fettle/internal/know/family"
)

// demoCmd opens an invented workshop, or writes one of its jobs as a file.
type demoCmd struct {
	Addr   string `default:"127.0.0.1:0" help:"addr"`
	Seed   uint64 `help:"seed"`
	Lang   string `default:"en" enum:"en,de" help:"lang"`
	Export string `help:"export"`
	Job    string `default:"2026-014" help:"export_job"`
}

// Run serves the workshop until it is stopped, or exports.
func (c *demoCmd) Run(s *shell) error {
	if err := s.know(); err != nil {
		return err
	}
	if c.Export != "" {
		return c.export(s)
	}
	if faults := s.lib.AllFamilies(s.files); len(faults) > 0 {
		return faults
	}
	made, err := s.invent(c.Seed)
	if err != nil {
		return err
	}
	dir, err := os.MkdirTemp("", "fettle-demo-")
	if err != nil {
		return fault.New(fault.Broken, "cli.no-out", "dir", os.TempDir(), "error", plain(err)).Because(err)
	}
	defer os.RemoveAll(dir)
	return s.open(site{dir: dir, addr: c.Addr, lang: c.Lang, say: "cli.demo-at", first: made, stock: true})
}

// truths are the invented jobs of the knowledge folder by their id.
func (s *shell) truths() (map[string]demo.Truth, error) {
	const shopFile = "demo/shop.yaml"
	out := map[string]demo.Truth{}
	for _, name := range sorted(s.files) {
		text := s.files[name]
		if path.Dir(name) != "demo" || !isTruth(text) {
			continue
		}
		t, faults := demo.Load(name, text, shopFile, s.files[shopFile])
		if len(faults) > 0 {
			return nil, faults
		}
		out[t.Job] = t
	}
	return out, nil
}

// isTruth reports a file that is a job; others in the folder demo, such as the
// shop, name another format.
func isTruth(text []byte) bool { return bytes.Contains(text, []byte("\nfettle: demo/1\n")) }

// known reads a shipped family by its id.
func (s *shell) known(id string) (*family.Layout, error) {
	if l := s.lib.Families[id]; l != nil {
		return l, nil
	}
	name := "family/" + id + ".yaml"
	l, faults := s.lib.Family(name, s.files[name])
	return l, faults.OrNil()
}

// invent makes the entries of every invented job and of the shop they share.
func (s *shell) invent(seed uint64) ([]entry.Entry, error) {
	truths, err := s.truths()
	if err != nil {
		return nil, err
	}
	var out []entry.Entry
	seen := map[entry.Key]bool{}
	for _, id := range sorted(truths) {
		t := truths[id]
		l, err := s.known(t.Family)
		if err != nil {
			return nil, err
		}
		made, faults := demo.Make(t, l, s.lib, seedOf(t, seed), nil)
		if len(faults) > 0 {
			return nil, faults
		}
		for _, e := range append(made.Shop, made.Job...) {
			if !seen[e.Key] { // both jobs know the same people and gauges
				seen[e.Key] = true
				out = append(out, e)
			}
		}
	}
	return out, nil
}

// seedOf is the seed asked for, or that of the truth.
func seedOf(t demo.Truth, asked uint64) uint64 {
	if asked == 0 {
		return uint64(t.Seed)
	}
	return asked
}

// export writes the readings of one invented job as a file of readings.
func (c *demoCmd) export(s *shell) error {
	truths, err := s.truths()
	if err != nil {
		return err
	}
	t, ok := truths[c.Job]
	if !ok {
		return fault.New(fault.Missing, "cli.not-there", "found", c.Job, "expected", strings.Join(sorted(truths), ", "))
	}
	l, err := s.known(t.Family)
	if err != nil {
		return err
	}
	made, faults := demo.Make(t, l, s.lib, seedOf(t, c.Seed), nil)
	if len(faults) > 0 {
		return faults
	}
	b := readings.Write(demo.Sheet(t, made))
	if c.Export == "-" {
		_, err := io.Copy(s.Out, strings.NewReader(string(b)))
		return err
	}
	if err := os.WriteFile(c.Export, b, 0o644); err != nil {
		return fault.New(fault.Refused, "cli.no-export", "file", c.Export, "error", plain(err)).Because(err)
	}
	fmt.Fprintln(s.Out, c.Export)
	return nil
}
