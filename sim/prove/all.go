package prove

import (
	"errors"
	"sync"
)

// All searches views, so many side by side, and returns what came of each in
// their order. How many makes no difference to it. progress, where there is one,
// is told the sums of all views now and then; it is never called twice at once.
func All(views []*View, workers int, progress func(states, transitions int)) ([]*Result, error) {
	results, errs := make([]*Result, len(views)), make([]error, len(views))
	var lock sync.Mutex
	states, transitions := make([]int, len(views)), make([]int, len(views))
	tell := func(i, s, t int) {
		lock.Lock()
		defer lock.Unlock()
		states[i], transitions[i] = s, t
		if progress != nil {
			progress(sum(states), sum(transitions))
		}
	}
	work := make(chan int)
	var done sync.WaitGroup
	for range max(min(workers, len(views)), 1) {
		done.Go(func() {
			for i := range work {
				results[i], errs[i] = Search(views[i], func(s, t int) { tell(i, s, t) })
			}
		})
	}
	for i := range views {
		work <- i
	}
	close(work)
	done.Wait()
	return results, errors.Join(errs...)
}

func sum(list []int) (n int) {
	for _, x := range list {
		n += x
	}
	return n
}
