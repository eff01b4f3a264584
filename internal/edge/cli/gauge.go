package cli

import (
	"context"
	"crypto/rand"
	"fmt"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"fettle/internal/base/fault"
	"fettle/internal/base/unit"
	"fettle/internal/edge/bench"
	"fettle/internal/edge/store"
	"fettle/internal/facts/entry"
	"fettle/internal/facts/shop"
	"fettle/internal/judge/gauge"
)

// gaugeCmd works on the gauges of a store.
type gaugeCmd struct {
	Add      gaugeAddCmd      `cmd:"" help:"gauge_add"`
	Import   gaugeImportCmd   `cmd:"" help:"gauge_import"`
	List     gaugeListCmd     `cmd:"" help:"gauge_list"`
	Check    gaugeCheckCmd    `cmd:"" help:"gauge_check"`
	Leaned   gaugeLeanedCmd   `cmd:"" help:"gauge_leaned"`
	Withdraw gaugeWithdrawCmd `cmd:"" help:"gauge_withdraw"`
}

// at opens the bench of a store that is there, runs f and closes it again.
func (s *shell) at(dir string, f func(context.Context, *bench.Bench) error) error {
	if err := s.know(); err != nil {
		return err
	}
	if found, err := filepath.Glob(filepath.Join(escaped(dir), "fettle.db")); err != nil || len(found) == 0 {
		return fault.New(fault.Missing, "cli.no-store", "dir", dir)
	}
	ctx := context.Background()
	st, err := store.Open(ctx, dir, time.Now)
	if err != nil {
		return err
	}
	defer st.Close()
	heads, err := st.Streams(ctx)
	if err != nil {
		return err
	}
	if slices.ContainsFunc(heads, func(h store.Head) bool { return h.Stream != entry.ShopStream }) {
		if faults := s.lib.AllFamilies(s.files); len(faults) > 0 {
			return faults
		}
	}
	return f(ctx, bench.New(st, s.lib, time.Now))
}

// gaugeImportCmd reads a digital calibration certificate.
type gaugeImportCmd struct {
	File   string `arg:"" help:"gauge_certificate"`
	Dir    string `default:"shop" help:"gauge_dir"`
	Gauge  string `required:"" help:"gauge_id"`
	Result int    `help:"gauge_result"`
	Due    string `help:"gauge_due"`
	Person string `help:"gauge_person"`
	Yes    bool   `help:"gauge_yes"`
	JSON   bool   `name:"json" help:"json"`
}

// Run shows what a certificate holds and what it would change; it stores only
// where that was asked for.
func (c *gaugeImportCmd) Run(s *shell) error {
	text, err := slurp(c.File, bench.MostCertificate+1)
	if err != nil {
		return err
	}
	return s.at(c.Dir, func(ctx context.Context, b *bench.Bench) error {
		in := bench.Certificate{Gauge: c.Gauge, Name: c.File, File: text, Result: c.Result, Due: c.Due, Person: c.Person, Device: "cli"}
		o, err := b.OfferCalibration(ctx, in)
		if err != nil {
			return err
		}
		d := bench.Calibrated{Offer: o}
		if c.Yes {
			if d, err = b.Calibrate(ctx, in); err != nil {
				return err
			}
		}
		if c.JSON {
			return s.print(importResult(s, c.Gauge, &o, &d, c.Yes))
		}
		s.tell(&o)
		switch {
		case d.Again:
			fmt.Fprintln(s.Out, s.book.Say("cli.gauge.again", "sequence", strconv.FormatInt(d.Seq, 10)))
		case c.Yes:
			fmt.Fprintln(s.Out, s.book.Say("cli.gauge.stored", "gauge", c.Gauge, "sequence", strconv.FormatInt(d.Seq, 10), "file", o.Calibration.File))
		default:
			fmt.Fprintln(s.Out, s.book.Say("cli.gauge.ask"))
		}
		return nil
	})
}

// tell writes what a certificate holds.
func (s *shell) tell(o *bench.Offer) {
	c, cal := o.Certificate, &o.Calibration
	fmt.Fprintln(s.Out, s.book.Say("cli.gauge.certificate", "id", c.ID, "begin", c.Begin, "end", c.End, "schema", c.Schema, "lab", c.Lab))
	for _, i := range c.Items {
		fmt.Fprintln(s.Out, s.book.Say("cli.gauge.item", "name", i.Name, "manufacturer", i.Manufacturer, "model", i.Model, "serial", i.Serial))
	}
	fmt.Fprintln(s.Out, s.book.Say("cli.gauge.result", "result", strconv.Itoa(o.Result), "name", c.Results[o.Result-1].Name, "k", cal.Coverage))
	for _, p := range cal.Points {
		fmt.Fprintf(s.Out, "  %12s %s  %8s ± %s %s\n", p.At, cal.AtUnit, p.Bias, p.Expanded, cal.Unit)
	}
	for _, r := range o.Remarks {
		fmt.Fprintln(s.Out, s.book.Say(r.Key, r.Pairs()...))
	}
	for _, r := range o.Reopened {
		fmt.Fprintln(s.Out, s.book.Say("cli.gauge.reopens", "job", r.Job, "title", r.Title, "changes", strconv.Itoa(len(r.Changes)), "moved", strconv.Itoa(r.Moved)))
		for _, c := range r.Changes {
			fmt.Fprintf(s.Out, "  %s %s: %s -> %s\n", c.Position, c.State, c.Before, c.After)
		}
	}
}

type imported struct {
	Gauge       string             `json:"gauge"`
	Stored      bool               `json:"stored"`
	Again       bool               `json:"again,omitempty"`
	Sequence    int64              `json:"sequence,omitempty"`
	Head        string             `json:"head,omitempty"`
	Certificate string             `json:"certificate"`
	Schema      string             `json:"schema_version"`
	Signed      bool               `json:"signed"`
	Result      int                `json:"result"`
	Calibration *shop.CalibratedV2 `json:"calibration"`
	Remarks     []string           `json:"remarks"`
	Reopened    []reopened         `json:"reopened"`
}

type reopened struct {
	Job     string    `json:"job"`
	Moved   int       `json:"moved"`
	Changes []verdict `json:"changes"`
}

type verdict struct {
	Position string `json:"position"`
	State    string `json:"state"`
	Before   string `json:"before,omitempty"`
	Verdict  string `json:"verdict"`
	Part     string `json:"part,omitempty"`
}

func importResult(s *shell, id string, o *bench.Offer, d *bench.Calibrated, stored bool) imported {
	out := imported{Gauge: id, Stored: stored, Again: d.Again, Sequence: d.Seq, Head: d.Head, Certificate: o.Certificate.ID, Schema: o.Certificate.Schema,
		Signed: o.Certificate.Signed, Result: o.Result, Calibration: &o.Calibration, Remarks: []string{}, Reopened: []reopened{}}
	for _, r := range o.Remarks {
		out.Remarks = append(out.Remarks, s.book.Say(r.Key, r.Pairs()...))
	}
	for _, r := range o.Reopened {
		one := reopened{Job: r.Job, Moved: r.Moved, Changes: []verdict{}}
		for _, c := range r.Changes {
			one.Changes = append(one.Changes, verdict{Position: c.Position, State: c.State, Before: string(c.Before), Verdict: string(c.After)})
		}
		out.Reopened = append(out.Reopened, one)
	}
	return out
}

// gaugeListCmd lists gauges.
type gaugeListCmd struct {
	Dir  string `default:"shop" help:"gauge_dir"`
	JSON bool   `name:"json" help:"json"`
}

type gaugeLine struct {
	Entry       string   `json:"entry,omitempty"` // of the calibration in force
	Gauge       string   `json:"gauge"`
	Type        string   `json:"type"`
	Serial      string   `json:"serial,omitempty"`
	Master      string   `json:"master,omitempty"`
	Date        string   `json:"calibrated,omitempty"`
	Due         string   `json:"due,omitempty"`
	Overdue     bool     `json:"overdue,omitempty"`
	Certificate string   `json:"certificate,omitempty"`
	Points      int      `json:"points,omitempty"`
	Alerts      []string `json:"alerts,omitempty"`
}

// Run lists every gauge with its calibration and what its checks say.
func (c *gaugeListCmd) Run(s *shell) error {
	return s.at(c.Dir, func(ctx context.Context, b *bench.Bench) error {
		list, err := b.Gauges(ctx)
		if err != nil {
			return err
		}
		lines := []gaugeLine{}
		for i := range list {
			lines = append(lines, s.gaugeLine(&list[i]))
		}
		if c.JSON {
			return s.print(lines)
		}
		for _, l := range lines {
			state := s.book.Say("cli.gauge.never")
			if l.Date != "" {
				state = s.book.Say("cli.gauge.since", "date", l.Date, "points", strconv.Itoa(l.Points))
			}
			if l.Overdue {
				state += s.book.Say("cli.gauge.overdue", "due", l.Due)
			}
			fmt.Fprintln(s.Out, strings.TrimRight(fmt.Sprintf("%-16s %-18s %-12s %s", l.Gauge, l.Type, l.Serial, state), " "))
			for _, a := range l.Alerts {
				fmt.Fprintln(s.Out, "  "+a)
			}
		}
		return nil
	})
}

func (s *shell) gaugeLine(g *bench.Gauge) gaugeLine {
	l := gaugeLine{Gauge: g.Gauge, Type: g.Type, Serial: g.Serial, Master: g.Master, Overdue: g.Overdue}
	if c := g.Calibration; c != nil {
		l.Entry, l.Date, l.Certificate, l.Points = c.Key, calendar(c.Date), c.Certificate, len(c.Points)
		if c.Due != 0 {
			l.Due = calendar(c.Due)
		}
	}
	for i := range g.Sessions {
		l.Alerts = append(l.Alerts, s.alerts(&g.Sessions[i])...)
	}
	return l
}

func calendar(t int64) string { return time.UnixMicro(t).UTC().Format("2006-01-02") }

func (s *shell) alerts(g *gauge.Session) []string {
	out := []string{}
	for _, a := range g.Alerts {
		say := g.Say(a)
		out = append(out, s.book.Say(say.Key, "person", say.Args["person"], "value", say.Args["value"], "doubt", say.Args["doubt"]))
	}
	return out
}

// gaugeCheckCmd records one reading of a master.
type gaugeCheckCmd struct {
	Gauge  string `arg:"" help:"gauge_id"`
	Dir    string `default:"shop" help:"gauge_dir"`
	Master string `help:"gauge_master"`
	True   string `required:"" help:"gauge_true"`
	Read   string `required:"" help:"gauge_read"`
	Unit   string `default:"mm" help:"gauge_unit"`
	Person string `help:"gauge_person"`
	JSON   bool   `name:"json" help:"json"`
}

// Run stores the check and tells what the session amounts to.
func (c *gaugeCheckCmd) Run(s *shell) error {
	return s.at(c.Dir, func(ctx context.Context, b *bench.Bench) error {
		var key entry.Key
		if _, err := rand.Read(key[:]); err != nil {
			return err
		}
		d, err := b.RecordCheck(ctx, bench.Check{Gauge: c.Gauge, Master: c.Master, True: c.True, Read: c.Read, Unit: c.Unit, Mark: '.',
			Person: c.Person, Device: "cli", Key: key})
		if err != nil {
			return err
		}
		g := d.Session
		if g == nil {
			return nil
		}
		if !c.JSON {
			fmt.Fprintln(s.Out, s.book.Say("cli.gauge.checked", "sequence", strconv.FormatInt(d.Seq, 10), "entry", key.String()))
		}
		u := gauge.SmallUnit(g.Unit)
		if c.JSON {
			hands := map[string]string{}
			for _, h := range g.Hands {
				hands[h.Person] = unit.Format(h.Bias, u, 2)
			}
			return s.print(map[string]any{"sequence": d.Seq, "entry": key.String(), "head": d.Head, "gauge": g.Gauge, "master": g.Master, "method": g.Method, "unit": u,
				"repeat": unit.Format(g.Repeat, u, 2), "bias": hands, "alerts": s.alerts(g)})
		}
		for _, h := range g.Hands {
			fmt.Fprintln(s.Out, s.book.Say("cli.gauge.bias", "person", h.Person, "gauge", g.Gauge, "master", g.Master,
				"bias", unit.Format(h.Bias, u, 2)+" "+u, "doubt", unit.Format(2*h.SU, u, 2)+" "+u))
		}
		fmt.Fprintln(s.Out, s.book.Say("cli.gauge.repeat", "repeat", unit.Format(g.Repeat, u, 2)+" "+u, "method", s.book.Say("gauge.method."+g.Method)))
		for _, a := range s.alerts(g) {
			fmt.Fprintln(s.Out, a)
		}
		return nil
	})
}

// gaugeLeanedCmd lists what leaned on a gauge.
type gaugeLeanedCmd struct {
	Gauge string `arg:"" help:"gauge_id"`
	Dir   string `default:"shop" help:"gauge_dir"`
	From  string `help:"gauge_from"`
	To    string `help:"gauge_to"`
	JSON  bool   `name:"json" help:"json"`
}

// Run lists every verdict that leaned on the gauge, job by job.
func (c *gaugeLeanedCmd) Run(s *shell) error {
	from, err := dayOf(c.From, 0)
	if err != nil {
		return err
	}
	to, err := dayOf(c.To, 1)
	if err != nil {
		return err
	}
	return s.at(c.Dir, func(ctx context.Context, b *bench.Bench) error {
		list, err := b.LeanedOn(ctx, c.Gauge, from, to)
		if err != nil {
			return err
		}
		out := map[string][]verdict{}
		for _, j := range list {
			if !c.JSON {
				fmt.Fprintln(s.Out, s.book.Say("cli.gauge.leaned", "job", j.Job, "title", j.Title, "n", strconv.Itoa(len(j.Leans))))
			}
			for _, l := range j.Leans {
				v := verdict{Position: l.Position, State: l.State, Verdict: string(l.Verdict), Part: unit.Format(l.Part, "%", 1)}
				out[j.Job] = append(out[j.Job], v)
				if !c.JSON {
					fmt.Fprintf(s.Out, "  %-40s %-16s %-10s %5s %%\n", v.Position, v.State, v.Verdict, v.Part)
				}
			}
		}
		if c.JSON {
			return s.print(out)
		}
		return nil
	})
}

// dayOf reads a day as the first microsecond of it, or, so many days on, the
// last one before.
func dayOf(text string, after int) (int64, error) {
	if text == "" {
		return 0, nil
	}
	t, err := time.Parse("2006-01-02", text)
	if err != nil {
		return 0, fault.New(fault.Invalid, "cli.gauge.bad-day", "found", text)
	}
	return t.AddDate(0, 0, after).UnixMicro() - int64(after), nil
}
