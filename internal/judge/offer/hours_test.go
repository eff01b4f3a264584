package offer

import "testing"

// Law: minutes in hours, worked by hand; a half goes upwards.
func TestHoursText(t *testing.T) {
	for minutes, want := range map[int]string{0: "0.00", 1: "0.02", 6: "0.10", 59: "0.98", 60: "1.0", 63: "1.1", 62: "1.0", 90: "1.5", 601: "10.0"} {
		if got := HoursText(minutes); got != want {
			t.Errorf("%d min: %s, expected %s", minutes, got, want)
		}
	}
}
