// Package wording says in words what a status.View holds, so that the screen and
// the page say the same: what runs and how long still, whether hands may go into
// the bath, what wants attention, and each row of banks and fans. It draws nothing.
//
// What is not known is "-". A text that came from elsewhere is put on one line, and
// what cannot be printed is left out of it, so that a name cannot steer a terminal.
package wording
