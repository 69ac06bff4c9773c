package main

import (
	"strings"
	"sync"
)

// notes is what a program has said so far.
type notes struct {
	mutex sync.Mutex
	all   strings.Builder
}

func (n *notes) Write(p []byte) (int, error) {
	n.mutex.Lock()
	defer n.mutex.Unlock()
	return n.all.Write(p)
}

func (n *notes) text() string {
	n.mutex.Lock()
	defer n.mutex.Unlock()
	return n.all.String()
}
