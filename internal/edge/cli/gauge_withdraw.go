package cli

import (
	"context"
	"fmt"
	"strconv"

	"fettle/internal/base/unit"
	"fettle/internal/edge/bench"
)

// gaugeWithdrawCmd takes a calibration or a check out of all results.
type gaugeWithdrawCmd struct {
	Gauge  string `arg:"" help:"gauge_id"`
	Entry  string `required:"" help:"gauge_entry"`
	Dir    string `default:"shop" help:"gauge_dir"`
	Reason string `help:"gauge_reason"`
	Person string `help:"gauge_person"`
	Yes    bool   `help:"gauge_yes"`
	JSON   bool   `name:"json" help:"json"`
}

type withdrawn struct {
	Gauge    string               `json:"gauge"`
	Entry    string               `json:"entry"`
	Stored   bool                 `json:"stored"`
	Again    bool                 `json:"again,omitempty"`
	Sequence int64                `json:"sequence,omitempty"`
	Head     string               `json:"head,omitempty"`
	Leaned   map[string][]verdict `json:"leaned"`
	Reopened []reopened           `json:"reopened"`
}

// Run shows which verdicts leaned on it and which would change; it stores only
// where that was asked for.
func (c *gaugeWithdrawCmd) Run(s *shell) error {
	return s.at(c.Dir, func(ctx context.Context, b *bench.Bench) error {
		in := bench.Unsaying{Gauge: c.Gauge, Target: c.Entry, Reason: c.Reason, Person: c.Person, Device: "cli"}
		in.Key = bench.UnsayingKey(c.Gauge, c.Entry)
		u, err := b.OfferUnsaying(ctx, in)
		if err != nil {
			return err
		}
		out := withdrawn{Gauge: c.Gauge, Entry: c.Entry, Stored: c.Yes, Leaned: map[string][]verdict{}, Reopened: []reopened{}}
		for _, r := range u.Reopened {
			one := reopened{Job: r.Job, Moved: r.Moved, Changes: []verdict{}}
			for _, x := range r.Changes {
				one.Changes = append(one.Changes, verdict{Position: x.Position, State: x.State, Before: string(x.Before), Verdict: string(x.After)})
			}
			out.Reopened = append(out.Reopened, one)
		}
		if c.Yes {
			if u, err = b.Unsay(ctx, in); err != nil {
				return err
			}
			out.Again, out.Sequence, out.Head = u.Again, u.Seq, u.Head
		}
		for _, j := range u.Leaned {
			for _, l := range j.Leans {
				out.Leaned[j.Job] = append(out.Leaned[j.Job], verdict{Position: l.Position, State: l.State, Verdict: string(l.Verdict), Part: unit.Format(l.Part, "%", 1)})
			}
		}
		if c.JSON {
			return s.print(out)
		}
		c.tell(s, &u, &out)
		return nil
	})
}

func (c *gaugeWithdrawCmd) tell(s *shell, u *bench.Unsaid, out *withdrawn) {
	if u.Check != nil {
		fmt.Fprintln(s.Out, s.book.Say("cli.gauge.check-carries-none"))
	}
	for _, j := range u.Leaned {
		fmt.Fprintln(s.Out, s.book.Say("cli.gauge.leaned", "job", j.Job, "title", j.Title, "n", strconv.Itoa(len(j.Leans))))
		for _, v := range out.Leaned[j.Job] {
			fmt.Fprintf(s.Out, "  %-40s %-16s %-10s %5s %%\n", v.Position, v.State, v.Verdict, v.Part)
		}
	}
	for _, r := range u.Reopened {
		fmt.Fprintln(s.Out, s.book.Say("cli.gauge.reopens", "job", r.Job, "title", r.Title, "changes", strconv.Itoa(len(r.Changes)), "moved", strconv.Itoa(r.Moved)))
	}
	switch {
	case u.Again:
		fmt.Fprintln(s.Out, s.book.Say("cli.gauge.withdrawn-before", "sequence", strconv.FormatInt(u.Seq, 10)))
	case c.Yes:
		fmt.Fprintln(s.Out, s.book.Say("cli.gauge.withdrawn", "entry", c.Entry, "sequence", strconv.FormatInt(u.Seq, 10)))
	default:
		fmt.Fprintln(s.Out, s.book.Say("cli.gauge.withdraw-ask"))
	}
}
