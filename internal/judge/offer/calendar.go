package offer

import (
	"math"
	"sort"
	"time"

	"fettle/internal/base/fault"
	"fettle/internal/facts/shop"
)

// calendar is the working days of the shop from the first day of work. Time is
// counted in minutes of work since then.
type calendar struct {
	from   time.Time
	minute float64 // of a working day
	days   []int   // calendar days after from, of each working day
}

// mostYears bounds how far a date may lie.
const mostYears = 10

func calendarFrom(t *shop.Terms, from time.Time) (*calendar, error) {
	hours, _ := t.Day.Float64()
	c := &calendar{from: from, minute: hours * 60}
	for d := range mostYears * 366 {
		if t.Works(from.AddDate(0, 0, d)) {
			c.days = append(c.days, d)
		}
	}
	if len(c.days) == 0 {
		return nil, fault.New(fault.Invalid, "terms.week")
	}
	return c, nil
}

// starts is the minute at which the day begins, or the next working day after it.
func (c *calendar) starts(day int) float64 {
	return float64(sort.SearchInts(c.days, day)) * c.minute
}

// ends is the calendar day on which a minute of work ends; one that ends with
// the day ends on that day.
func (c *calendar) ends(minute float64) int {
	n := max(int(math.Ceil(minute/c.minute-1e-9))-1, 0)
	if n >= len(c.days) {
		return mostYears * 366
	}
	return c.days[n]
}

// away is when work can go on that left the shop at a minute for some days: the
// working day after it is back.
func (c *calendar) away(minute float64, days int) float64 {
	if days == 0 {
		return minute
	}
	return max(minute, c.starts(c.ends(minute)+days+1))
}

// date writes a calendar day.
func (c *calendar) date(day int) string { return c.from.AddDate(0, 0, day).Format(time.DateOnly) }
