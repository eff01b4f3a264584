package view

import (
	"testing"
	"time"
)

func TestNumbers(t *testing.T) {
	point, comma := Reader{Mark: '.'}, Reader{Mark: ','}
	for _, c := range []struct{ in, point, comma string }{
		{"83.010", "83.010", "83,010"}, {"-0.012", "−0.012", "−0,012"}, {"12", "12", "12"}, {"0.000", "0.000", "0,000"},
		{"pass", "pass", "pass"}, {"", "", ""}, {"1.2.3", "1.2.3", "1.2.3"}, {".5", ".5", ".5"}, {"5.", "5.", "5."}, {"-", "-", "-"},
	} {
		if got := point.Num(c.in); got != c.point {
			t.Errorf("with a point %q is shown as %q, want %q", c.in, got, c.point)
		}
		if got := comma.Num(c.in); got != c.comma {
			t.Errorf("with a comma %q is shown as %q, want %q", c.in, got, c.comma)
		}
	}
	for _, c := range []struct{ n, unit, want string }{
		{"83.010", "mm", "83,010\u202fmm"}, {"10.40", "1", "10,40"}, {"12.5", "°", "12,5°"}, {"0.45", "°cam", "0,45°cam"}, {"20.0", "°C", "20,0\u202f°C"}, {"", "mm", ""},
	} {
		if got := comma.With(c.n, c.unit); got != c.want {
			t.Errorf("%s %s is shown as %q, want %q", c.n, c.unit, got, c.want)
		}
	}
}

func TestTextKeepsWords(t *testing.T) {
	r := Reader{Mark: ','}
	for in, want := range map[string]string{
		"0.25 mm":             "0,25\u202fmm",
		"-0.5 °C and 3 µm":    "−0,5\u202f°C and 3\u202fµm",
		"bore-50-150":         "bore-50-150",
		"ISO 14253-1 rule 2":  "ISO 14253-1 rule 2",
		"M8 in the second":    "M8 in the second",
		"2026-11-24 at 12.30": "2026-11-24 at 12,30",
	} {
		if got := r.Text(in); got != want {
			t.Errorf("%q is shown as %q, want %q", in, got, want)
		}
	}
}

func TestWholeNumbersAndDays(t *testing.T) {
	r := Reader{}
	for n, want := range map[int]string{0: "0", 7: "7", 999: "999", 1000: "1\u202f000", -12345: "−12\u202f345", 1000000: "1\u202f000\u202f000"} {
		if got := r.Int(n); got != want {
			t.Errorf("%d is shown as %q, want %q", n, got, want)
		}
	}
	at := time.Date(2026, 11, 24, 23, 30, 0, 0, time.UTC).UnixMicro()
	if got := r.Day(at); got != "2026-11-24 23:30" {
		t.Errorf("the day is %s", got)
	}
	r.Zone = time.FixedZone("shop", 3600)
	if got := r.Date(at); got != "2026-11-25" {
		t.Errorf("in the shop's zone the date is %s", got)
	}
	if r.Day(0) != "–" {
		t.Error("no time is shown as a time")
	}
}

func TestLessComparesDecimals(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want bool
	}{{"19.0", "19.3", true}, {"9.9", "10.0", true}, {"10.0", "9.9", false}, {"-1.0", "0.5", true}, {"0.5", "-1.0", false},
		{"-2.0", "-1.5", true}, {"-1.5", "-2.0", false}, {"19.3", "19.3", false}, {"-3", "-3", false}, {"020", "19", false}} {
		if got := less(c.a, c.b); got != c.want {
			t.Errorf("%s < %s is %v", c.a, c.b, got)
		}
	}
}

func TestAddressesAreEscaped(t *testing.T) {
	if got := AtHref("2026 1", "block/bore/4/H2/T", "after(hone)"); got != "/job/2026%201/at/block/bore/4/H2/T?state=after%28hone%29" {
		t.Errorf("the address is %s", got)
	}
	if got := AtHref("j", "head/face/L1", "found"); got != "/job/j/at/head/face/L1" {
		t.Errorf("the address is %s", got)
	}
}
