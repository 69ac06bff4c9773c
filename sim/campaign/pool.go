package campaign

import (
	"runtime"
	"sync"
)

// RunAll runs cases on so many workers, all processors with 0. Each result is
// handed to done in the order of the cases, whatever the workers do. The first
// error, of a case or of done, ends it.
func (c *Campaign) RunAll(cases []Case, workers int, done func(Result) error) error {
	return inOrder(len(cases), workers, func(i int) (Result, error) { return c.Run(cases[i]) }, done)
}

// inOrder does n things on so many workers, and hands over what each has given in
// their order.
func inOrder[T any](n, workers int, do func(i int) (T, error), done func(T) error) error {
	if workers <= 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	type answer struct {
		result T
		err    error
	}
	// Each thing has a place of its own to answer in; a worker is never more than
	// a bounded way ahead of what has been handed over.
	answers := make([]chan answer, n)
	for i := range answers {
		answers[i] = make(chan answer, 1)
	}
	todo, over := make(chan int), make(chan struct{})
	var running sync.WaitGroup
	for range workers {
		running.Add(1)
		go func() {
			defer running.Done()
			for i := range todo {
				result, err := do(i)
				answers[i] <- answer{result, err}
			}
		}()
	}
	slots := make(chan struct{}, 64*workers)
	go func() {
		defer close(todo)
		for i := range n {
			select {
			case slots <- struct{}{}:
			case <-over:
				return
			}
			select {
			case todo <- i:
			case <-over:
				return
			}
		}
	}()
	var failed error
	for i := range n {
		a := <-answers[i]
		<-slots
		if failed = a.err; failed == nil {
			failed = done(a.result)
		}
		if failed != nil {
			break
		}
	}
	close(over)
	running.Wait()
	return failed
}
