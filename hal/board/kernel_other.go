//go:build !linux

package board

import "errors"

func thisKernel() (kernel, error) {
	return nil, errors.New("a board needs Linux: this system's lines cannot be reached")
}
