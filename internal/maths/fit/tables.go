package fit

// gradeRow is one size step of the standard tolerances, over … up to and
// including, in mm; it[0] is IT5.
type gradeRow struct {
	over, up int
	it       [5]Micrometres
}

func (r gradeRow) upTo() (int, int) { return r.over, r.up }

// grades are the standard tolerances, µm.
//
// Source: ISO 286-1:2010 Table 1, as carried by two independent open data sets
// that agree (a DIN 286 tolerance module and a JSON copy of the table).
var grades = [...]gradeRow{
	{10, 18, [5]Micrometres{8, 11, 18, 27, 43}},
	{18, 30, [5]Micrometres{9, 13, 21, 33, 52}},
	{30, 50, [5]Micrometres{11, 16, 25, 39, 62}},
	{50, 80, [5]Micrometres{13, 19, 30, 46, 74}},
	{80, 120, [5]Micrometres{15, 22, 35, 54, 87}},
	{120, 180, [5]Micrometres{18, 25, 40, 63, 100}},
}

// shaftRow is one size step of the fundamental deviations of shafts, as
// magnitudes: f and g lie below the nominal, k, p and s above.
type shaftRow struct {
	over, up      int
	f, g, k, p, s Micrometres
}

func (r shaftRow) upTo() (int, int) { return r.over, r.up }

// shafts are the fundamental deviations, µm. From 50 mm on the steps are halved
// for the sake of s.
//
// Source: g, k, p from limit deviations of ISO 286-2:2010 at sizes in every
// step, as carried by a DIN 286 tolerance module. f and s (ISO 286-1:2010
// Tables 4 and 5) from memory; they agree with the formulas of the standard in
// every step and with one read fit each (86 H7/f7, 60 H7/s6).
var shafts = [...]shaftRow{
	{10, 18, 16, 6, 1, 18, 28},
	{18, 30, 20, 7, 2, 22, 35},
	{30, 50, 25, 9, 2, 26, 43},
	{50, 65, 30, 10, 2, 32, 53},
	{65, 80, 30, 10, 2, 32, 59},
	{80, 100, 36, 12, 3, 37, 71},
	{100, 120, 36, 12, 3, 37, 79},
	{120, 140, 43, 14, 3, 43, 92},
	{140, 160, 43, 14, 3, 43, 100},
	{160, 180, 43, 14, 3, 43, 108},
}
