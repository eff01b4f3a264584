package film

import "sync"

// Balances balances many bearings, on several cores. What each gives depends
// neither on the others nor on how many cores there are.
//
// Shapes: n cases -> n answers, in their order, each with its own error.
// Units:  as Balance.
// Errors: each answer has its own.
func Balances(cases []HeatCase, workers int) []Balanced {
	out := make([]Balanced, len(cases))
	parts := (len(cases) + lanes - 1) / lanes
	workers = max(1, min(workers, parts))
	next := make(chan int)
	var all sync.WaitGroup
	for range workers {
		all.Go(func() {
			for i := range next {
				from, to := i*lanes, min((i+1)*lanes, len(cases))
				copy(out[from:to], balance(cases[from:to]))
			}
		})
	}
	for i := range parts {
		next <- i
	}
	close(next)
	all.Wait()
	return out
}
