package running

import (
	"fmt"

	"fettle/internal/base/unit"
)

// span is a field with the range in which it can be meant. The ranges keep
// slips of unit and decimal point out, not poor engines. Common practice, no
// source.
type span struct {
	path   string
	q      unit.Quantity
	lo, hi string
}

// bounds says which fields lie outside what they can be.
func (f *File) bounds(say func(path, key string, pairs ...string)) {
	list := []span{
		{"idle.speed", f.Idle.Speed, "300 rpm", "3000 rpm"}, {"track.speed", f.Track.Speed, "1000 rpm", "20000 rpm"},
		{"rod.gyration", f.Rod.Gyration, "10 mm", "300 mm"}, {"piston.pin_offset", f.Piston.Offset, "-5 mm", "5 mm"},
		{"crank.unbalance", f.Crank.Unbalance, "-20 kg", "20 kg"}, {"crank.bending_diameter", f.Crank.Bending, "10 mm", "200 mm"},
		{"charge.pressure", f.Charge.Pressure, "0.3 bar", "5 bar"}, {"charge.temperature", f.Charge.Temperature, "-40 °C", "250 °C"},
		{"charge.back_pressure", f.Charge.Back, "0.5 bar", "8 bar"}, {"charge.octane", f.Charge.Octane, "50 1", "130 1"},
		{"charge.lambda", f.Charge.Lambda, "0.6 1", "1.6 1"},
		{"burn.start", f.Burn.Start, "-20 °crank", "70 °crank"}, {"burn.duration", f.Burn.Duration, "10 °crank", "120 °crank"},
		{"walls.piston", f.Walls.Piston, "50 °C", "450 °C"}, {"walls.head", f.Walls.Head, "50 °C", "450 °C"}, {"walls.liner", f.Walls.Liner, "20 °C", "300 °C"},
		{"oil.pump.displacement", f.Oil.Pump.Displacement, "0.5 cm³", "200 cm³"}, {"oil.pump.ratio", f.Oil.Pump.Ratio, "0.2 1", "3 1"},
		{"oil.pump.filling", f.Oil.Pump.Fill, "0.3 1", "1 1"}, {"oil.pump.slip", f.Oil.Pump.Slip, "0 l/min", "60 l/min"},
		{"oil.relief.opens", f.Oil.Relief.Opens, "0.5 bar", "15 bar"}, {"oil.relief.full", f.Oil.Relief.Full, "0.5 bar", "20 bar"},
	}
	for name, s := range map[string]Speed{"idle": f.Idle, "track": f.Track} {
		list = append(list, span{name + ".oil", s.Oil, "20 °C", "170 °C"}, span{name + ".pressure", s.Pressure, "0.1 bar", "15 bar"})
	}
	for name, c := range map[string]Cam{"inlet": f.Inlet, "exhaust": f.Exhaust} {
		list = append(list, span{name + ".centre", c.Centre, "60 °crank", "160 °crank"}, span{name + ".duration", c.Duration, "150 °crank", "400 °crank"},
			span{name + ".discharge", c.Flow, "0.2 1", "1 1"})
	}
	list = append(list, f.Main.spans("main")...)
	if f.Pin.Groove != "" {
		list = append(list, f.Pin.spans("pin")...)
	}
	list = append(list, span{"faces.chamber_area", f.Faces.Chamber, "300 mm²", "20000 mm²"}, span{"faces.centres", f.Faces.Centres, "0 mm", "900 mm"},
		span{"faces.rail", f.Faces.Rail, "0 °", "60 °"})
	for name, r := range map[string]Reach{"inlet": f.Faces.Inlet, "exhaust": f.Faces.Exhaust} {
		list = append(list, span{"faces." + name + ".angle", r.Angle, "0 °", "50 °"}, span{"faces." + name + ".gap", r.Gap, "0.1 mm", "20 mm"},
			span{"faces." + name + ".rise", r.Rise, "0 mm", "0.3 mm"}, span{"faces." + name + ".least", r.Least, "0.1 mm", "10 mm"})
	}
	for i, u := range f.Oil.Users {
		list = append(list, span{fmt.Sprintf("oil.users[%d].bore", i), u.Bore, "0.1 mm", "15 mm"}, span{fmt.Sprintf("oil.users[%d].opens", i), u.Opens, "0 bar", "15 bar"})
	}
	for i, b := range f.Lived {
		list = append(list, span{fmt.Sprintf("lived[%d].main", i), b.Main, "5 µm", "300 µm"}, span{fmt.Sprintf("lived[%d].pin", i), b.Pin, "0 µm", "300 µm"})
	}
	for _, s := range list {
		lo, _ := unit.Parse(s.lo, "", '.')
		hi, _ := unit.Parse(s.hi, "", '.')
		if v := s.q.SI(); v < lo.SI() || v > hi.SI() {
			say(s.path, "running.out-of-range", "found", s.q.String(), "least", s.lo, "most", s.hi)
		}
	}
	if f.Oil.Relief.Full.SI() <= f.Oil.Relief.Opens.SI() {
		say("oil.relief.full", "running.relief-order", "opens", f.Oil.Relief.Opens.String(), "full", f.Oil.Relief.Full.String())
	}
	for name, b := range map[string]Bearing{"main": f.Main, "pin": f.Pin} {
		switch grooved := b.Groove == "upper" || b.Groove == "full"; {
		case grooved && b.GrooveWidth.SI() <= 0, b.GrooveWidth.SI() > 0.8*b.Width.SI():
			say(name+".groove_width", "running.groove", "groove", b.GrooveWidth.String(), "width", b.Width.String())
		}
	}
}

func (b Bearing) spans(name string) []span {
	return []span{{name + ".width", b.Width, "5 mm", "80 mm"}, {name + ".hole", b.Hole, "1 mm", "20 mm"}, {name + ".shell_ra", b.ShellRa, "0.02 µm", "3 µm"}}
}
