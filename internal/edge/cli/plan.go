package cli

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"strings"
	"time"

	"fettle/internal/base/fault"
	"fettle/internal/edge/bench"
	"fettle/internal/edge/store"
	"fettle/internal/facts/job"
	"fettle/internal/judge/assess"
	"fettle/internal/judge/plan"
	"fettle/internal/know/family"
	"fettle/internal/show/text"
	"fettle/internal/show/view"
)

// planCmd plans a job without pages.
type planCmd struct {
	Family   string  `help:"plan_family"`
	Readings string  `help:"plan_readings"`
	Dir      string  `help:"plan_dir"`
	Job      string  `help:"plan_job"`
	Demo     string  `help:"plan_demo"`
	Route    string  `help:"plan_route"`
	Ratio    float64 `help:"plan_ratio"`
	Use      string  `help:"plan_use"`
	Days     int     `help:"plan_days"`
	Lang     string  `default:"en" enum:"en,de" help:"lang"`
	JSON     bool    `name:"json" help:"json"`
}

// planned is one job with what it is planned from.
type planned struct {
	lay   *family.Layout
	facts assess.Facts
}

// Run plans by one route, or by all of them.
func (c *planCmd) Run(s *shell) error {
	defer keepGarbage()()
	switch {
	case c.Dir != "" && c.Job != "":
		return s.at(c.Dir, func(ctx context.Context, b *bench.Bench) error {
			return c.stored(ctx, s, b, c.Job)
		})
	case c.Demo != "":
		return c.demo(s)
	case c.Family != "" && c.Readings != "":
		return c.from(s, func() (planned, error) { return c.sheet(s) })
	}
	return fault.New(fault.Invalid, "cli.plan-what")
}

func (c *planCmd) wish() plan.Wish { return plan.Wish{Ratio: c.Ratio, Use: c.Use, Days: c.Days} }

// from plans what was read, judged once.
func (c *planCmd) from(s *shell, read func() (planned, error)) error {
	in, err := read()
	if err != nil {
		return err
	}
	know := assess.Knowledge{Library: s.lib, Layout: in.lay}
	a, err := assess.Evaluate(know, in.facts, assess.Plan{})
	if err != nil {
		return err
	}
	return c.each(s, func(route string) (*plan.Plan, planned, error) {
		p, err := plan.Make(plan.Input{Knowledge: know, Facts: in.facts, Assessment: a, Route: route, Wish: c.wish()})
		return p, in, err
	})
}

// sheet is a file of readings; nothing lies on the shelf.
func (c *planCmd) sheet(s *shell) (planned, error) {
	lay, err := s.prepare(c.Family)
	if err != nil {
		return planned{}, err
	}
	sh, err := s.readings(c.Readings, lay)
	if err != nil {
		return planned{}, err
	}
	id := sh.Job
	if id == "" {
		id = "plan"
	}
	j, shopState, err := sh.ToState(job.OpenedV1{Job: id, Title: sh.Title, Family: lay.Family.ID, Digest: s.lib.Digests[lay.Family.ID]})
	return planned{lay: lay, facts: assess.Facts{Job: j, Shop: shopState}}, err
}

// demo plans a job of the demonstration, in a store of its own that is gone
// afterwards.
func (c *planCmd) demo(s *shell) error {
	if err := s.know(); err != nil {
		return err
	}
	truths, err := s.truths()
	if err != nil {
		return err
	}
	if _, ok := truths[c.Demo]; !ok {
		return fault.New(fault.Missing, "cli.not-there", "found", c.Demo, "expected", strings.Join(sorted(truths), ", "))
	}
	made, err := s.invent(0)
	if err != nil {
		return err
	}
	dir, err := os.MkdirTemp("", "fettle-plan-")
	if err != nil {
		return fault.New(fault.Broken, "cli.no-out", "dir", os.TempDir(), "error", plain(err)).Because(err)
	}
	defer os.RemoveAll(dir)
	ctx := context.Background()
	st, err := store.Open(ctx, dir, time.Now)
	if err != nil {
		return err
	}
	defer st.Close()
	if _, err := st.Append(ctx, made); err != nil {
		return err
	}
	b := bench.New(st, s.lib, time.Now)
	if err := s.stockDemo(ctx, b); err != nil {
		return err
	}
	return c.stored(ctx, s, b, c.Demo)
}

// stored plans a job of a store.
func (c *planCmd) stored(ctx context.Context, s *shell, b *bench.Bench, id string) error {
	return c.each(s, func(route string) (*plan.Plan, planned, error) {
		p, j, err := b.Plan(ctx, id, route, c.wish())
		if err != nil {
			return nil, planned{}, err
		}
		return p, planned{lay: j.Layout, facts: assess.Facts{Job: j.Job, Shop: j.Shop}}, nil
	})
}

// each plans by every route asked for and writes them.
func (c *planCmd) each(s *shell, make func(route string) (*plan.Plan, planned, error)) error {
	routes := s.lib.Routes().Names()
	if c.Route != "" {
		routes = []string{c.Route}
	}
	var all []*plan.Plan
	r := view.Reader{Book: s.lib.Book(c.Lang), Lang: c.Lang, Mark: mark(c.Lang), Zone: time.UTC}
	for i, route := range routes {
		p, in, err := make(route)
		if err != nil {
			return err
		}
		all = append(all, p)
		if !c.JSON {
			if i > 0 {
				fmt.Fprintln(s.Out)
			}
			k := view.NewCase(p.Assessment, in.lay, s.lib, in.facts.Job, in.facts.Shop, view.Sketch{})
			if _, err := s.Out.Write(text.Plan(k, r, p, tableWidth)); err != nil {
				return err
			}
		}
	}
	if !c.JSON {
		return nil
	}
	s.told = true
	e := json.NewEncoder(s.Out)
	e.SetIndent("", "  ")
	if c.Route != "" {
		return e.Encode(all[0])
	}
	return e.Encode(map[string]any{"plans": all})
}
