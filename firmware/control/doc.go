// Package control serves the program's two Unix sockets. Over the one of the
// watchers nothing can be asked but to see; over the other a start, a stop and a
// reset can be asked too, as far as the machine's rules allow. Neither can delay a
// tick: requests go into a short queue, views are made beside the loop, and a client
// that is slow, wrong or many is cut off.
//
// A client writes one line of JSON and reads lines of JSON:
//
//	{"ask":"status"}                     one view
//	{"ask":"watch"}                      a view twice a second, until it hangs up
//	{"ask":"start","recipe":"gentle"}    {"ok":true,"text":"..."} or {"error":"..."}
//	{"ask":"stop"}
//	{"ask":"reset"}
package control
