package cli

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"time"

	"fettle/internal/edge/bench"
)

// shelfCmd is what the command line does with the shelf.
type shelfCmd struct {
	Import shelfImportCmd `cmd:"" help:"shelf_import"`
	List   shelfListCmd   `cmd:"" help:"shelf_list"`
}

// shelfImportCmd reads a file of a shelf into a workshop.
type shelfImportCmd struct {
	File   string `arg:"" help:"shelf_file"`
	Dir    string `default:"shop" help:"gauge_dir"`
	Person string `help:"gauge_person"`
	Check  bool   `help:"shelf_check"`
	JSON   bool   `name:"json" help:"json"`
}

// Run stores it, all or nothing.
func (c *shelfImportCmd) Run(s *shell) error {
	text, err := os.ReadFile(c.File)
	if err != nil {
		return unread(c.File, err)
	}
	rows, mark, err := bench.ReadShelf(filepath.Base(c.File), text)
	if err != nil {
		return err
	}
	return s.at(c.Dir, func(ctx context.Context, b *bench.Bench) error {
		in := bench.Stocking{Name: filepath.Base(c.File), Rows: rows, Mark: mark, Person: c.Person, Device: "cli"}
		take, key := b.TakeShelf, "cli.shelf.taken"
		if c.Check {
			take, key = b.OfferShelf, "cli.shelf.checked"
		}
		got, err := take(ctx, in)
		if err != nil {
			return err
		}
		if c.JSON {
			return s.print(map[string]any{"entries": len(got.Said), "fresh": got.Fresh, "sequence": got.Receipt.Seq, "head": got.Receipt.Head})
		}
		fmt.Fprintln(s.Out, s.book.Say(key, "rows", strconv.Itoa(len(rows)), "entries", strconv.Itoa(len(got.Said)), "fresh", strconv.Itoa(got.Fresh)))
		return nil
	})
}

// shelfListCmd lists the lots with what is free of each.
type shelfListCmd struct {
	Dir  string `default:"shop" help:"gauge_dir"`
	JSON bool   `name:"json" help:"json"`
}

// Run lists.
func (c *shelfListCmd) Run(s *shell) error {
	return s.at(c.Dir, func(ctx context.Context, b *bench.Bench) error {
		list, err := b.Shelf(ctx)
		if err != nil {
			return err
		}
		type line struct {
			Lot   string `json:"lot"`
			Item  string `json:"item"`
			Count int    `json:"count"`
			Used  int    `json:"used"`
			Free  int    `json:"free"`
			Place string `json:"place,omitempty"`
		}
		out := make([]line, len(list))
		for i := range list {
			l := &list[i]
			out[i] = line{l.LotV1.Lot, l.Sort.Item(), l.Count, len(l.Used), l.Free(), l.Place}
		}
		if c.JSON {
			return s.print(map[string]any{"lots": out})
		}
		for _, l := range out {
			fmt.Fprintln(s.Out, s.book.Say("cli.shelf.line", "lot", l.Lot, "item", l.Item, "count", strconv.Itoa(l.Count), "free", strconv.Itoa(l.Free), "place", l.Place))
		}
		return nil
	})
}

// stockDemo fills the shelf of the demonstration, weeks before its first job.
func (s *shell) stockDemo(ctx context.Context, b *bench.Bench) error {
	const name = "demo/shelf.csv"
	rows, mark, err := bench.ReadShelf(name, s.files[name])
	if err != nil {
		return err
	}
	_, err = b.TakeShelf(ctx, bench.Stocking{Name: name, Rows: rows, Mark: mark, Person: "p-5c1e", Device: "bench-2",
		Time: time.Date(2026, 2, 12, 9, 0, 0, 0, time.UTC).UnixMicro()})
	return err
}
