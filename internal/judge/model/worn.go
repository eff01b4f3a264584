package model

import (
	"math"
	"slices"

	"fettle/internal/physics/film"
)

// Worn is a bearing that stands out from its kind, by what its film makes of the
// clearance that was read.
type Worn struct {
	Bearing   int // into Bearings
	Clearance Number
	Others    float64 // median clearance of the others, m
	Gap       float64 // its least film, m
	U         float64 // from the doubt of its clearance, m
	Usual     float64 // median film of the others, m
	Less      float64 // share of that film which it lacks
	Flow      float64 // its oil, m³/s
	FlowUsual float64
	Times     float64 // its oil over theirs
	Peak      float64 // Pa
	PeakUsual float64
	Lambda    float64
	Doubt     []film.Doubt
}

// sure is how many standard uncertainties a film must lie below the others'.
const sure = 3

// Worn finds the bearing whose film lies farthest below that of its kind, if any
// lies below it by more than three times the doubt from its clearance; nil where
// none stands out. It says what a clearance does to the film; what began the wear
// is not in a clearance.
//
// Shapes: answers and their slopes dh/dc, as Films and slopes give them.
func (r *Rig) Worn(got []film.Balanced, slopes []float64) *Worn {
	all := r.Bearings()
	var worst *Worn
	far := 0.0
	for i, b := range all {
		if got[i].Err != nil || !b.Clearance.Known() {
			continue
		}
		var gap, flow, peak, clear []float64
		for k, o := range all {
			if k != i && o.Component == b.Component && got[k].Err == nil {
				gap, flow = append(gap, got[k].Gap), append(flow, got[k].Side+got[k].Feed)
				peak, clear = append(peak, got[k].Peak), append(clear, o.Clearance.Value)
			}
		}
		if len(gap) < 2 {
			continue
		}
		w := &Worn{Bearing: i, Clearance: b.Clearance, Others: median(clear), Gap: got[i].Gap, U: math.Abs(slopes[i]) * b.Clearance.U,
			Usual: median(gap), Flow: got[i].Side + got[i].Feed, FlowUsual: median(flow), Peak: got[i].Peak, PeakUsual: median(peak),
			Lambda: got[i].Lambda, Doubt: got[i].Doubt}
		w.Less, w.Times = 1-w.Gap/w.Usual, w.Flow/w.FlowUsual
		// A main carries what its throws put on it: films of mains differ before they
		// wear. So the clearance itself must stand out too.
		off := b.Clearance.Value - w.Others
		if w.Usual-w.Gap > sure*w.U && off > sure*b.Clearance.U && w.Less > far {
			worst, far = w, w.Less
		}
	}
	return worst
}

// slopes are the slopes of the least film over the clearance of every bearing.
func (r *Rig) slopes(d Duty, l *Loads, c []float64, got []film.Balanced) []float64 {
	c = slices.Clone(c)
	for i := range c {
		c[i] += slopeStep
	}
	beside := r.Films(d, l, c, false)
	out := make([]float64, len(c))
	for i := range out {
		if beside[i].Err == nil && got[i].Err == nil {
			out[i] = (beside[i].Gap - got[i].Gap) / slopeStep
		}
	}
	return out
}

func median(x []float64) float64 {
	x = slices.Sorted(slices.Values(x))
	n := len(x)
	return (x[n/2] + x[(n-1)/2]) / 2
}
