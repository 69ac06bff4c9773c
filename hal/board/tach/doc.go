// Package tach makes speeds of rotation from the pulses of fan tachs.
//
// A Tach is a plain value that is told edges and says a speed, or that there is
// none to be had. It decides for the careful side: no more speed than the silence
// since the last pulse allows, no speed from pulses that no fan makes, none after
// edges were lost until enough new ones have come.
//
// It cannot tell a fan from a regular hum: pick-up from 50 Hz mains looks like a
// fan of 1500 rpm with 2 pulses a revolution. What finds that is the protective
// function "airflow signal stuck", before every start.
//
// A Monitor reads the edges of some lines beside the loop and leaves the speeds
// where the loop finds them without waiting.
package tach
