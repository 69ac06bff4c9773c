// Package example has made-up views of a made-up tank, for the tests of whatever
// shows one. Each is a new value and may be changed.
package example
