package control

// Parse reads a request of the control socket.
func Parse(line []byte) (Asked, error) {
	return parse(line, everything)
}
