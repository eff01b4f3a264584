package demo

import (
	"bytes"
	"testing"

	"fettle/internal/facts/job"
	"fettle/internal/facts/readings"
)

// Law: the job as a file of readings is read back without a fault and says the
// same as its log: every reading that counts, and no other.
func TestSheetIsTheLog(t *testing.T) {
	for _, name := range jobs {
		tr := load(t, name)
		m, l, lib := build(t, tr, uint64(tr.Seed), nil)
		types := map[string]bool{}
		for id := range lib.Instruments {
			types[id] = true
		}
		file := readings.Write(Sheet(tr, m))
		if again := readings.Write(Sheet(tr, m)); !bytes.Equal(file, again) {
			t.Errorf("%s: two files of one log", name)
		}
		sheet, faults := readings.Parse(name+".csv", file, l, types)
		if len(faults) > 0 {
			t.Fatalf("%s: %d faults, the first %v", name, len(faults), faults[0])
		}
		want := replay(t, m.Job).Readings
		var counting []job.Reading
		for i := range want {
			if want[i].Counts() {
				counting = append(counting, want[i])
			}
		}
		if len(sheet.Readings) != len(counting) {
			t.Fatalf("%s: %d readings in the file, %d count in the log", name, len(sheet.Readings), len(counting))
		}
		in := map[string]int{}
		for _, r := range sheet.Readings {
			in[r.Position+" "+r.Value+" "+r.Unit+" "+r.Gauge+" "+r.Master+" "+r.PartTemp]++
		}
		for _, r := range counting {
			k := r.Position + " " + r.Value + " " + r.Unit + " " + r.Gauge + " " + r.Master + " " + r.PartTemp
			if in[k]--; in[k] < 0 {
				t.Errorf("%s: the file lacks %s", name, k)
			}
		}
		t.Logf("%s: %d bytes", name, len(file))
	}
}
