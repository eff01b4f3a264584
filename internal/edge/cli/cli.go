// Package cli is the command line: it reads files, hands bytes to the rooms
// below and writes what they give back.
package cli

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"slices"
	"strings"

	"github.com/alecthomas/kong"

	"fettle/internal/base/fault"
	"fettle/internal/judge/compute"
	"fettle/internal/know/library"
	"fettle/internal/know/words"
)

// World is all that a run touches.
type World struct {
	Args     []string
	In       io.Reader
	Out, Err io.Writer
	Files    fs.FS // the knowledge folder
}

// The exit codes.
const (
	exitDone   = 0 // also where findings came out
	exitFailed = 1 // the machine failed
	exitInput  = 2 // bad input or bad words on the command line
)

// commands is the command tree. Help texts stand in the word files under
// cli.help.
type commands struct {
	Evaluate evaluateCmd `cmd:"" help:"evaluate"`
	Serve    serveCmd    `cmd:"" help:"serve"`
	Demo     demoCmd     `cmd:"" help:"demo"`
	Family   struct {
		Lint   lintCmd   `cmd:"" help:"lint"`
		Schema schemaCmd `cmd:"" help:"schema"`
	} `cmd:"" help:"family"`
	Gauge   gaugeCmd   `cmd:"" help:"gauge"`
	Shelf   shelfCmd   `cmd:"" help:"shelf"`
	Paper   paperCmd   `cmd:"" help:"paper"`
	Plan    planCmd    `cmd:"" help:"plan"`
	Quote   quoteCmd   `cmd:"" help:"quote"`
	Terms   termsCmd   `cmd:"" help:"terms"`
	Compute computeCmd `cmd:"" help:"compute"`
	Version versionCmd `cmd:"" help:"version"`
}

// shell is what every command works with.
type shell struct {
	World
	reg     compute.Register
	reading *library.Reading
	early   *early // the family file, where the arguments name one
	lib     *library.Library
	files   library.Files
	book    *words.Book
	json    bool // the answer is asked for in JSON
	told    bool // and was given
}

// Run runs one command line and returns the exit code.
func Run(w World) int {
	s := &shell{World: w, reg: compute.NewRegister(), json: slices.Contains(w.Args, "--json")}
	if err := s.load(); err != nil {
		fmt.Fprintln(w.Err, err)
		return exitFailed
	}
	var c commands
	code := -1
	parser, err := kong.New(&c, kong.Name("fettle"), kong.Description(s.book.Say("cli.help.about")), kong.PostBuild(s.help),
		kong.Writers(w.Out, w.Err), kong.Exit(func(n int) { code = n }), kong.Bind(s), kong.UsageOnError(),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true}))
	if err != nil {
		panic("cli: " + err.Error())
	}
	if len(w.Args) == 0 {
		w.Args = []string{"--help"}
	}
	ctx, err := parser.Parse(w.Args)
	if code >= 0 {
		return code
	}
	if err != nil {
		return s.complain(fault.New(fault.Invalid, "cli.bad-words", "error", err.Error()))
	}
	if err := ctx.Run(); err != nil {
		return s.complain(err)
	}
	return exitDone
}

// help puts the sentences in place of their keys, which stand in the structs:
// those under cli.help, dots and hyphens turned to underscores. Kong's own way,
// variables, copies all of them for each word of the command line.
func (s *shell) help(k *kong.Kong) error {
	says := map[string]string{}
	for _, key := range s.book.Keys() {
		if rest, ok := strings.CutPrefix(key, "cli.help."); ok {
			says[strings.NewReplacer(".", "_", "-", "_").Replace(rest)] = s.book.Say(key)
		}
	}
	put := func(text *string) {
		if sentence, ok := says[*text]; ok {
			*text = sentence
		} else if *text != "" && !strings.Contains(*text, " ") {
			panic("cli: no sentence for " + *text)
		}
	}
	return kong.Visit(k.Model, func(node kong.Visitable, next kong.Next) error {
		switch n := node.(type) {
		case *kong.Node:
			put(&n.Help)
			for _, p := range n.Positional {
				put(&p.Help)
			}
		case *kong.Flag:
			put(&n.Help)
		}
		return next(nil)
	})
}

// load gathers the knowledge folder and waits for its English sentences; the
// rest of it is read meanwhile.
func (s *shell) load() error {
	if name, ok := guess(s.Args); ok {
		largePages(stretch)
		s.early = openEarly(name)
	}
	files, err := gather(s.Files)
	if err != nil {
		return err
	}
	s.files, s.reading = files, library.Begin(files)
	book, faults := s.reading.English()
	s.book = book
	return faults.OrNil()
}

// know waits for the knowledge of the folder, without the families.
func (s *shell) know() error {
	lib, faults := s.reading.Library(s.reg.Signature)
	s.lib = lib
	return faults.OrNil()
}

// gather reads every knowledge file of a folder.
func gather(f fs.FS) (library.Files, error) {
	files := library.Files{}
	err := fs.WalkDir(f, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		switch path.Ext(name) {
		case ".yaml", ".csv":
			b, err := fs.ReadFile(f, name)
			files[name] = b
			return err
		}
		return nil
	})
	return files, err
}

// problem is one fault as a program reads it.
type problem struct {
	File    string `json:"file,omitempty"`
	Line    int    `json:"line,omitempty"`
	Column  int    `json:"column,omitempty"`
	Key     string `json:"key"`
	Message string `json:"message"`
}

func (s *shell) problem(f *fault.Fault) problem {
	p := problem{Key: f.Key, Message: s.sentence(f)}
	if f.File != "" {
		p.File, p.Line, p.Column = f.File, max(f.Line, 1), max(f.Col, 1)
	}
	return p
}

// complain writes every problem, one a line, and says how the run ends. Where
// JSON was asked for it stands on standard output too, unless the command has
// given the problems in its own answer.
func (s *shell) complain(err error) int {
	code := exitInput
	var told []problem
	for _, f := range fault.All(err) {
		fmt.Fprintln(s.Err, s.line(f))
		told = append(told, s.problem(f))
		if f.Code == fault.Broken {
			code = exitFailed
		}
	}
	if s.json && !s.told {
		if err := s.print(map[string]any{"problems": told}); err != nil {
			fmt.Fprintln(s.Err, err)
			return exitFailed
		}
	}
	return code
}

// print writes an answer as JSON.
func (s *shell) print(v any) error {
	e := json.NewEncoder(s.Out)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	s.told = true
	return e.Encode(v)
}

// sentence says what was found and what was expected.
func (s *shell) sentence(f *fault.Fault) string {
	var cause *fault.Fault
	if f.Err != nil && !errors.As(f.Err, &cause) && f.Key == "fault.other" {
		return f.Err.Error()
	}
	return s.book.Fault(f)
}

// line is FILE:line:column: what was found, what was expected.
func (s *shell) line(f *fault.Fault) string {
	if f.File == "" {
		return s.sentence(f)
	}
	return fmt.Sprintf("%s:%d:%d: %s", f.File, max(f.Line, 1), max(f.Col, 1), s.sentence(f))
}
