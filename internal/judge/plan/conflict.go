package plan

// Conflict is a smallest set of demands that cannot all be met: without any one
// of them the others can.
type Conflict struct {
	ID string `json:"about"` // fit or group
	Say
	Members []Member `json:"demands"`
	Ways    []Say    `json:"ways_out,omitempty"`
}

// The kinds of demand.
const (
	DemandPlace   = "place"   // this place is served
	DemandLimits  = "limits"  // within its limits
	DemandStock   = "stock"   // from so many pieces
	DemandClasses = "classes" // halves no more than so many classes apart
	DemandStep    = "step"    // the group stays at its step
	DemandLadder  = "ladder"  // within the steps that parts exist for
	DemandArticle = "article" // so many of an article
	DemandDays    = "days"    // here by a day
	DemandBudget  = "budget"  // for no more than
)

// Member is one demand of a conflict.
type Member struct {
	Kind string `json:"kind"`
	Ref  string `json:"ref"`
	Say
}

// smallest finds demands that cannot all be met while all but any one of them
// can: each is left out in turn, and stays out where the rest still cannot be
// met. This is done from both ends and the smaller set is taken. Nil if all
// demands can be met together.
//
// Source: the deletion filter, J. W. Chinneck, Feasibility and Infeasibility in
// Optimization, 2008, chapter 2 (from memory).
func smallest(n int, met func(active []bool) bool) []int {
	all := make([]bool, n)
	for i := range all {
		all[i] = true
	}
	if met(all) {
		return nil
	}
	filter := func(at func(k int) int) (out []int) {
		active := append([]bool(nil), all...)
		for k := range n {
			i := at(k)
			active[i] = false
			if met(active) {
				active[i] = true
			}
		}
		for i, on := range active {
			if on {
				out = append(out, i)
			}
		}
		return out
	}
	best := filter(func(k int) int { return k })
	if back := filter(func(k int) int { return n - 1 - k }); len(back) < len(best) {
		best = back
	}
	return best
}

// alone reports whether giving up one demand of all is enough.
func alone(n, k int, met func(active []bool) bool) bool {
	active := make([]bool, n)
	for i := range active {
		active[i] = i != k
	}
	return met(active)
}

// conflict writes the members of a smallest set and, of each that can be given up,
// the way out: but only where that is enough, for a second conflict may stand
// behind the first.
func conflict(about, key string, members []Member, at []int, way func(k int) (Say, bool)) Conflict {
	c := Conflict{ID: about}
	var places []string
	for _, k := range at {
		c.Members = append(c.Members, members[k])
		if members[k].Kind == DemandPlace {
			places = append(places, members[k].Ref)
		}
		if w, ok := way(k); ok {
			c.Ways = append(c.Ways, w)
		}
	}
	c.Say = say(key, "places", list(places), "n", number(float64(len(c.Members)), 0))
	return c
}
