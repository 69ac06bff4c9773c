package campaign

import (
	"runtime"
	"sync"
)

// RunAll runs cases on so many workers, all processors with 0. Each result is
// handed to done in the order of the cases, whatever the workers do. The first
// error, of a case or of done, ends it.
func (c *Campaign) RunAll(cases []Case, workers int, done func(Result) error) error {
	if workers <= 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	type answer struct {
		result Result
		err    error
	}
	// Each case has a place of its own to answer in; a worker is never more than
	// a bounded way ahead of what has been handed over.
	ahead := 64 * workers
	answers := make([]chan answer, len(cases))
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
				result, err := c.Run(cases[i])
				answers[i] <- answer{result, err}
			}
		}()
	}
	slots := make(chan struct{}, ahead)
	go func() {
		defer close(todo)
		for i := range cases {
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
	for i := range cases {
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
