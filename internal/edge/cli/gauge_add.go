package cli

import (
	"context"
	"fmt"
	"strconv"

	"fettle/internal/edge/bench"
	"fettle/internal/facts/shop"
)

// gaugeAddCmd says that the shop owns a gauge or master.
type gaugeAddCmd struct {
	Gauge  string `arg:"" help:"gauge_id"`
	Dir    string `default:"shop" help:"gauge_dir"`
	Type   string `required:"" help:"gauge_type"`
	Serial string `help:"gauge_serial"`
	Master string `help:"gauge_usual"`
	Note   string `help:"gauge_note"`
	Person string `help:"gauge_person"`
	Change bool   `help:"gauge_change"`
	JSON   bool   `name:"json" help:"json"`
}

// Run stores it, once.
func (c *gaugeAddCmd) Run(s *shell) error {
	return s.at(c.Dir, func(ctx context.Context, b *bench.Bench) error {
		o, err := b.AddGauge(ctx, bench.Adding{GaugeV1: shop.GaugeV1{Gauge: c.Gauge, Type: c.Type, Serial: c.Serial, Master: c.Master, Note: c.Note},
			Change: c.Change, Person: c.Person, Device: "cli"})
		if err != nil {
			return err
		}
		if c.JSON {
			return s.print(map[string]any{"gauge": o.Gauge, "again": o.Again, "sequence": o.Seq, "head": o.Head})
		}
		if o.Again {
			fmt.Fprintln(s.Out, s.book.Say("cli.gauge.known", "gauge", c.Gauge))
			return nil
		}
		fmt.Fprintln(s.Out, s.book.Say("cli.gauge.added", "gauge", c.Gauge, "type", c.Type, "sequence", strconv.FormatInt(o.Seq, 10)))
		return nil
	})
}
