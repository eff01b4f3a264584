package assess

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"fettle/internal/facts/entry"
	"fettle/internal/facts/job"
	"fettle/internal/facts/shop"
	"fettle/internal/judge/compute"
	"fettle/internal/know/library"
)

// A small synthetic engine for the laws: every number here is made up.
const (
	tinySources   = "fettle: sources/1\nsources:\n- {id: made-up, title: Made up for a test, kind: invented, seen: own}\n"
	tinyMaterials = `fettle: materials/1
materials:
- {id: grey-iron, name: {en: Grey iron}, expansion: "11.0 1e-6/K", half_width: "0.5 1e-6/K", hot_caustic: allowed, source: made-up, status: from memory}
- {id: steel, name: {en: Steel}, expansion: "11.5 1e-6/K", half_width: "0.5 1e-6/K", hot_caustic: allowed, source: made-up, status: from memory}
- {id: piston-alloy, name: {en: Piston alloy}, expansion: "20.0 1e-6/K", half_width: "1.0 1e-6/K", hot_caustic: destroys, source: made-up, status: from memory}
`
	tinyInstruments = `fettle: instruments/1
instruments:
- {id: micrometer, name: {en: Micrometer}, quantity: length, resolution: 1 µm, repeat: 0.8 µm, bias: 1.4 µm, material: steel, minutes: 2, source: made-up, status: from memory}
- {id: bore-gauge, turn: 0.5 mm, name: {en: Bore gauge}, quantity: length, resolution: 1 µm, repeat: 0.8 µm, bias: 0.6 µm, set: master, set_repeat: 0.5 µm, material: steel, minutes: 3, source: made-up, status: from memory}
conditions:
- {id: caps-tight, name: {en: caps tight}, why: {en: The tunnel is only round with its caps tightened.}}
`
	tinyFindings = `fettle: findings/1
findings:
- id: bore-worn
  severity: act
  title: {en: Bore worn}
  leaving: {en: Blow-by.}
  options: [{outcome: rework, text: {en: Bore and hone.}}]
  source: made-up
  status: from memory
cautions: []
`
	tinyFamily = `fettle: family/1
id: tiny-20-1
name: {en: Tiny}
engine:
  layout: inline
  cylinders: 2
  bore: 80.000 mm
  stroke: 80.0 mm
  rod: 140.0 mm
  compression_height: 30.0 mm
  deck_height: 210.2 mm
  bore_spacing: 88.0 mm
  face_width: 140 mm
  bore_depth: 130 mm
  limiter: 7000 rpm
  mains: 3
  main_journal: 50.000 mm
  pin_journal: 45.000 mm
  big_end: shell
  block: {material: grey-iron, liner: none}
  head: {material: piston-alloy}
  valves: {inlet: 1, exhaust: 1, stem: 6.000 mm, length: 100 mm, lift: 9 mm}
  valvetrain: {kind: bucket, adjust: shim, camshafts: 1, cam_journals: 3}
  drive: {kind: chain, crank_teeth: 20, cam_teeth: 40}
  throttles: single
  oversizes: [0.25 mm, 0.50 mm, 1.00 mm]
components:
- {id: block, name: {en: Block}, system: block, material: grey-iron}
- {id: crank, name: {en: Crank}, system: crank, material: steel}
- {id: piston, name: {en: Piston}, system: pistons, per: [cyl], material: piston-alloy}
characteristics:
- id: block/bore
  name: {en: Bore}
  per: [cyl, height, axis]
  quantity: length
  unit: mm
  decimals: 3
  gauges: [bore-gauge]
  nominal: 80.000 mm
  wears: up
  target: bore
  finding: bore-worn
  limits:
  - {for: new, min: 80.000 mm, max: 80.015 mm, source: made-up, status: invented for the demo}
  - {for: reuse, min: 80.000 mm, max: 80.050 mm, source: made-up, status: invented for the demo}
- id: block/bore-taper
  name: {en: Taper}
  per: [cyl, axis]
  quantity: length
  unit: mm
  decimals: 3
  relation: taper
  bind: {d: {from: block/bore}}
  finding: bore-worn
  limits:
  - {for: reuse, max: 0.025 mm, source: made-up, status: invented for the demo}
- id: block/bridge
  name: {en: Bridge}
  per: [bridge]
  quantity: length
  unit: mm
  decimals: 2
  relation: bridge
  bind: {spacing: {from: engine/bore-spacing}, bore: {from: block/bore, where: {height: [H1]}}}
  limits:
  - {for: reuse, min: 7.00 mm, source: made-up, status: invented for the demo}
- id: block/wall
  name: {en: Wall}
  per: [cyl]
  quantity: length
  unit: mm
  decimals: 2
  nominal: 5.00 mm
  gauges: [micrometer]
  limits:
  - {for: reuse, min: 3.20 mm, source: made-up, status: invented for the demo}
- id: block/tunnel
  name: {en: Tunnel}
  per: [main]
  quantity: length
  unit: mm
  decimals: 3
  gauges: [bore-gauge]
  condition: [caps-tight]
  nominal: 54.000 mm
- id: crank/main
  name: {en: Main journal}
  per: [main]
  quantity: length
  unit: mm
  decimals: 3
  gauges: [micrometer]
  nominal: 50.000 mm
  limits:
  - {for: reuse, min: 49.980 mm, max: 50.000 mm, source: made-up, status: invented for the demo}
- id: crank/gap
  name: {en: Tunnel less journal}
  per: [main]
  quantity: length
  unit: mm
  decimals: 3
  relation: clearance
  bind: {hole: {from: block/tunnel}, shaft: {from: crank/main}}
  limits:
  - {for: reuse, min: 4.000 mm, max: 4.080 mm, source: made-up, status: invented for the demo}
- id: piston/skirt
  name: {en: Skirt}
  per: [cyl]
  quantity: length
  unit: mm
  decimals: 3
  gauges: [micrometer]
  nominal: 79.950 mm
- id: piston/clearance
  name: {en: Clearance}
  per: [cyl]
  quantity: length
  unit: mm
  decimals: 3
  relation: clearance
  bind: {hole: {from: block/bore, where: {height: [H2], axis: [T]}}, shaft: {from: piston/skirt}}
  limits:
  - {for: reuse, min: 0.040 mm, max: 0.090 mm, source: made-up, status: invented for the demo}
`
)

func tiny(t testing.TB) Knowledge { return tinyWith(t) }

// tinyWith is tiny with pieces of its files replaced, old and new in turn.
func tinyWith(t testing.TB, pairs ...string) Knowledge {
	t.Helper()
	with := func(text string) []byte {
		for i := 0; i+1 < len(pairs); i += 2 {
			text = strings.Replace(text, pairs[i], pairs[i+1], 1)
		}
		return []byte(text)
	}
	files := library.Files{"sources.yaml": []byte(tinySources), "materials.yaml": with(tinyMaterials),
		"instruments.yaml": with(tinyInstruments), "findings.yaml": with(tinyFindings),
		"plan.csv": []byte("id,text,unless\n"), "words/en.yaml": []byte("a: b\n")}
	lib, faults := library.Read(files, compute.NewRegister().Signature)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	lay, faults := lib.Family("tiny.yaml", with(tinyFamily))
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	return Knowledge{Library: lib, Layout: lay}
}

// book writes entries in the order they are given.
type book struct {
	t    testing.TB
	rows []entry.Row
	shop []entry.Row
	n    byte
}

const noon = 1_760_000_000_000_000 // 2025-10-09T08:53:20Z

func open(t testing.TB) *book {
	b := &book{t: t}
	b.add(entry.JobOpened, job.OpenedV1{Job: "1", Title: "Tiny", Family: "tiny-20-1"})
	return b
}

func (b *book) add(k entry.Kind, payload any) string {
	b.t.Helper()
	b.n++
	e, err := entry.New(entry.JobStream("1"), entry.Key{b.n}, k, "AK", "test", noon, payload)
	if err != nil {
		b.t.Fatal(err)
	}
	b.rows = append(b.rows, entry.Row{Entry: e, Seq: int64(len(b.rows) + 1)})
	return e.Key.String()
}

func (b *book) owns(gauge, kind, master string) {
	b.t.Helper()
	e, err := entry.New(entry.ShopStream, entry.Key{0xff, b.n}, entry.GaugeKnown, "AK", "test", noon, shop.GaugeV1{Gauge: gauge, Type: kind, Master: master})
	if err != nil {
		b.t.Fatal(err)
	}
	b.shop = append(b.shop, entry.Row{Entry: e, Seq: int64(len(b.shop) + 1)})
}

// read enters "position value unit gauge", at 20.0 °C with caps tight.
func (b *book) read(line string, state string) string {
	f := strings.Fields(line)
	return b.add(entry.Reading, job.ReadingV1{Position: f[0], State: state, Typed: f[1], Value: f[1], Unit: f[2], Gauge: f[3],
		PartTemp: "20.0", GaugeTemp: "20.0", Condition: []string{"caps-tight"}})
}

func (b *book) facts() Facts { return Facts{Job: job.Replay(b.rows), Shop: shop.Replay(b.shop)} }

func (b *book) assess(k Knowledge) *Assessment {
	b.t.Helper()
	a, err := Evaluate(k, b.facts(), Plan{})
	if err != nil {
		b.t.Fatal(err)
	}
	return a
}

func (b *book) value(k Knowledge, position string) *Value {
	b.t.Helper()
	v, ok := b.assess(k).Find(position, job.Found)
	if !ok {
		b.t.Fatalf("no value at %s", position)
	}
	return v
}

// bores enters all readings of both cylinders at 80.020, the few given apart.
func (b *book) bores(odd map[string]string) {
	for cyl := 1; cyl <= 2; cyl++ {
		for _, h := range []string{"H1", "H2", "H3"} {
			for _, a := range []string{"T", "P"} {
				p := fmt.Sprintf("block/bore/%d/%s/%s", cyl, h, a)
				v := "80.020"
				if odd[p] != "" {
					v = odd[p]
				}
				b.read(p+" "+v+" mm B1", job.Found)
			}
		}
	}
}

func bytesOf(t testing.TB, a *Assessment) string {
	t.Helper()
	j, err := json.Marshal(a)
	if err != nil {
		t.Fatal(err)
	}
	return string(j)
}
