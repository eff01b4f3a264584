package readings

import (
	"sync"
	"testing"

	"fettle/internal/know/family"
)

// single is a synthetic family, made for these tests only.
const single = `
fettle: family/1
id: test-single
name: {en: A single for tests}
engine:
  layout: inline
  cylinders: 1
  bore: 83.000 mm
  stroke: 88.000 mm
  rod: 140.000 mm
  compression_height: 30.000 mm
  deck_height: 214.000 mm
  bore_spacing: 90.000 mm
  face_width: 100.000 mm
  bore_depth: 140.000 mm
  limiter: 7000 rpm
  mains: 2
  main_journal: 50.000 mm
  pin_journal: 45.000 mm
  big_end: shell
  block: {material: iron, liner: none}
  head: {material: alloy}
  valves: {inlet: 1, exhaust: 1, stem: 6.000 mm, length: 100.000 mm, lift: 9.000 mm}
  valvetrain: {kind: bucket, adjust: shim, shim_place: tip, camshafts: 1, cam_journals: 2}
  drive: {kind: chain, crank_teeth: 20, cam_teeth: 40}
  throttles: single
components:
  - {id: block, name: {en: Block}, system: block, material: iron}
  - {id: crank, name: {en: Crank}, system: crank, material: iron}
characteristics:
  - {id: block/bore, name: {en: Bore}, per: [cyl, height, axis], quantity: length, unit: mm, gauges: [micrometer], decimals: 3, condition: [caps-tight, torque-plate]}
  - {id: block/taper, name: {en: Taper}, per: [cyl], quantity: length, unit: mm, decimals: 3, relation: range, bind: {d: {from: block/bore}}}
  - {id: block/crack, name: {en: Cracks}, quantity: check}
  - {id: block/volume, name: {en: Volume}, per: [cyl], quantity: volume, unit: cm³, gauges: [micrometer], decimals: 1}
  - {id: crank/journal, name: {en: Journal}, per: [main, plane], quantity: length, unit: mm, gauges: [micrometer], decimals: 3}
  - {id: crank/bolt, name: {en: Bolt torque}, quantity: torque, unit: N·m, gauges: [micrometer]}
`

var layoutOnce = sync.OnceValues(func() (*family.Layout, error) {
	l, faults := family.Parse("single.yaml", []byte(single), family.Validator(), family.Known{})
	return l, faults.OrNil()
})

func layout(t testing.TB) *family.Layout {
	t.Helper()
	l, err := layoutOnce()
	if err != nil {
		t.Fatal(err)
	}
	return l
}
