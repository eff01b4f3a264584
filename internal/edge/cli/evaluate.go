package cli

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"strconv"
	"strings"
	"time"

	"golang.org/x/sync/errgroup"

	"fettle/internal/base/fault"
	"fettle/internal/facts/job"
	"fettle/internal/facts/readings"
	"fettle/internal/judge/assess"
	"fettle/internal/know/family"
	"fettle/internal/show/sheet"
	"fettle/internal/show/text"
	"fettle/internal/show/view"
)

// evaluateCmd assesses a file of readings without a store.
type evaluateCmd struct {
	Family   string  `required:"" help:"evaluate_family"`
	Readings string  `required:"" help:"evaluate_readings"`
	Out      string  `required:"" help:"evaluate_out"`
	Oversize string  `help:"evaluate_oversize"`
	Rule     string  `help:"evaluate_rule"`
	Risk     float64 `help:"evaluate_risk"`
	Lang     string  `default:"en" enum:"en,de" help:"lang"`
	JSON     bool    `name:"json" help:"json"`
}

// keep is the memory up to which a run that ends soon keeps its garbage; the
// demo's jobs stay below it. Sweeping it up would take an eighth of the time.
const keep = 320 << 20

// keepGarbage lets the garbage lie up to keep. What needs more than that is no
// short run: the first sweep brings back the usual order.
func keepGarbage() (back func()) {
	percent, limit := debug.SetGCPercent(-1), debug.SetMemoryLimit(keep)
	back = func() {
		debug.SetMemoryLimit(limit)
		debug.SetGCPercent(percent)
	}
	runtime.AddCleanup(&struct{ _ [16]byte }{}, func(struct{}) { back() }, struct{}{})
	return back
}

// patience is how long a run stays silent.
const patience = time.Second

// Run reads both files, assesses and writes the results; findings are no
// failure.
func (c *evaluateCmd) Run(s *shell) error {
	defer keepGarbage()()
	lay, err := s.prepare(c.Family)
	if err != nil {
		return err
	}
	sh, err := s.readings(c.Readings, lay)
	if err != nil {
		return err
	}
	quiet := time.AfterFunc(patience, func() {
		fmt.Fprintln(s.Err, s.book.Say("cli.evaluating", "readings", strconv.Itoa(len(sh.Readings)), "family", lay.Family.ID))
	})
	defer quiet.Stop()
	blank := make(chan *sheet.Blank, 1)
	go func() { blank <- sheet.NewBlank() }()
	in, err := c.assess(s, lay, sh)
	if err != nil {
		return err
	}
	in.Blank = <-blank
	files, err := c.results(s, in)
	if err != nil {
		return err
	}
	if err := write(c.Out, files); err != nil {
		return err
	}
	return c.say(s, in.Case.Assessment, files)
}

// prepare waits for the knowledge and a family file, which are read side by
// side.
func (s *shell) prepare(name string) (*family.Layout, error) {
	if s.early == nil || s.early.name != name {
		s.early = openEarly(name)
	}
	if err := s.know(); err != nil {
		return nil, err
	}
	draft, err := s.early.wait()
	if err != nil {
		return nil, err
	}
	lay, faults := s.lib.Keep(draft)
	return lay, faults.OrNil()
}

// early is a family file that is being read.
type early struct {
	name string
	wait func() (*family.Draft, error)
}

func openEarly(name string) *early {
	var draft *family.Draft
	var err error
	done := make(chan struct{})
	go func() {
		defer close(done)
		var text []byte
		if text, err = slurp(name, mostFamily); err == nil {
			draft = family.Open(name, text, family.Validator())
		}
	}()
	return &early{name, func() (*family.Draft, error) {
		<-done
		return draft, err
	}}
}

// guess looks for the family file that the words of a command line name, so
// that it can be read while the rest begins: it takes the longest of all.
func guess(args []string) (name string, ok bool) {
	if len(args) == 0 || args[0] != "evaluate" {
		return "", false
	}
	for i, a := range args {
		if a == "--family" && i+1 < len(args) {
			return args[i+1], true
		}
		if rest, ok := strings.CutPrefix(a, "--family="); ok {
			return rest, true
		}
	}
	return "", false
}

// mostFamily is more than a family file may have; the reader of such files
// refuses what is longer.
const mostFamily = 8<<20 + 1

// slurp reads a file from disk, no more of it than most bytes: a device or a
// pipe without an end fills no memory.
func slurp(name string, most int64) ([]byte, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, unread(name, err)
	}
	defer f.Close()
	b, err := io.ReadAll(io.LimitReader(f, most))
	if err != nil {
		return nil, unread(name, err)
	}
	return b, nil
}

func unread(name string, err error) error {
	return fault.New(fault.Missing, "cli.no-file", "error", plain(err)).Because(err).At(name, 1, 1)
}

// readings reads a file of readings from disk.
func (s *shell) readings(name string, lay *family.Layout) (*readings.Sheet, error) {
	b, err := slurp(name, readings.MostBytes+1)
	if err != nil {
		return nil, err
	}
	sh, faults := readings.Reader{Layout: lay, Instruments: names(s.lib.Instruments), Conditions: names(s.lib.Conditions)}.Parse(name, b)
	if len(faults) > 0 {
		return nil, faults
	}
	return &sh, nil
}

func names[T any](m map[string]T) map[string]bool {
	out := make(map[string]bool, len(m))
	for id := range m {
		out[id] = true
	}
	return out
}

func (c *evaluateCmd) assess(s *shell, lay *family.Layout, sh *readings.Sheet) (sheet.Input, error) {
	id := sh.Job
	if id == "" {
		id = strings.TrimSuffix(filepath.Base(c.Readings), filepath.Ext(c.Readings))
	}
	title := sh.Title
	if title == "" {
		title = id
	}
	j, shopState, err := sh.ToState(job.OpenedV1{Job: id, Title: title, Family: lay.Family.ID, Digest: s.lib.Digests[lay.Family.ID]})
	if err != nil {
		return sheet.Input{}, err
	}
	a, err := assess.Evaluate(assess.Knowledge{Library: s.lib, Layout: lay}, assess.Facts{Job: j, Shop: shopState}, assess.Plan{Oversize: c.Oversize, Rule: c.Rule, Risk: c.Risk})
	if err != nil {
		return sheet.Input{}, err
	}
	r := view.Reader{Book: s.lib.Book(c.Lang), Lang: c.Lang, Mark: mark(c.Lang)}
	return sheet.Input{Case: view.NewCase(a, lay, s.lib, j, shopState, view.Sketch{}), Reader: r, Program: program()}, nil
}

// mark is the decimal mark that a language writes.
func mark(lang string) byte {
	if lang == "de" {
		return ','
	}
	return '.'
}

// results makes every file of the folder, by its name. The record takes half of
// the work and cannot be split, so it is begun at once and by this hand; the
// others, none of which leans on another, are made beside it.
func (c *evaluateCmd) results(s *shell, in sheet.Input) (map[string][]byte, error) {
	var data, table []byte
	var plots map[string][]byte
	var g errgroup.Group
	g.Go(func() (err error) { data, err = in.Case.Assessment.MarshalJSON(); return err }) // json.Marshal would go through the text again
	g.Go(func() error { plots = sheet.Plots(in); return nil })
	g.Go(func() error { table = text.Table(in.Case, in.Reader, tableWidth); return nil })
	record, err := sheet.Record(in)
	if other := g.Wait(); err == nil {
		err = other
	}
	if err != nil {
		return nil, err
	}
	files := map[string][]byte{"assessment.json": append(data, '\n'), "record.pdf": record, "assessment.txt": table}
	for name, b := range plots {
		files[filepath.Join(plotsIn, name)] = b
	}
	return files, nil
}

// tableWidth is the width of assessment.txt in characters.
const tableWidth = 110

func (c *evaluateCmd) say(s *shell, a *assess.Assessment, files map[string][]byte) error {
	if c.JSON {
		names := sorted(files)
		for i := range names {
			names[i] = filepath.ToSlash(names[i])
		}
		return s.print(map[string]any{"job": a.Job, "family": a.Family, "tally": a.Tally, "findings": len(a.Findings),
			"questions": len(a.Questions), "dir": c.Out, "files": names})
	}
	t := a.Tally
	fmt.Fprintln(s.Out, s.book.Say("cli.done", "files", strconv.Itoa(len(files)), "dir", c.Out, "readings", strconv.Itoa(t.Readings),
		"accept", strconv.Itoa(t.Accept), "reject", strconv.Itoa(t.Reject), "undecided", strconv.Itoa(t.Undecided), "unmeasured", strconv.Itoa(t.Unmeasured)))
	return nil
}
