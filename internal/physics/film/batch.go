package film

import "sync"

// Balances balances many bearings, on several cores. What each gives depends
// neither on the others nor on how many cores there are.
//
// Shapes: n cases -> n answers, in their order, each with its own error.
// Units:  as Balance.
// Errors: each answer has its own.
func Balances(cases []HeatCase, workers int) []Balanced {
	return batch(cases, workers, balance)
}

// Runs follows many bearings at given viscosities, on several cores, as
// Balances does.
//
// Shapes: n cases -> n answers, in their order, each with its own error.
// Units:  as Run.
// Errors: each answer has its own.
func Runs(cases []Case, workers int) []Ran { return batch(cases, workers, run) }

// batch hands a few cases at a time to each worker.
func batch[C, A any](cases []C, workers int, do func([]C) []A) []A {
	out := make([]A, len(cases))
	parts := (len(cases) + lanes - 1) / lanes
	each := func(i int) {
		from, to := i*lanes, min((i+1)*lanes, len(cases))
		copy(out[from:to], do(cases[from:to]))
	}
	if workers = max(1, min(workers, parts)); workers == 1 {
		for i := range parts {
			each(i)
		}
		return out
	}
	next := make(chan int)
	var all sync.WaitGroup
	for range workers {
		all.Go(func() {
			for i := range next {
				each(i)
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
