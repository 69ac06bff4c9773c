package recipe

import (
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
)

// Timing is what a machine fixes about every session.
type Timing struct {
	// Purge is how long proven air moves before anything is switched on.
	Purge time.Duration
	// Watch is how long the closed contactor is watched with heater and banks
	// off, so that a relay that did not open is seen before the session starts.
	Watch time.Duration
	// Stagger is the time from one bank's start to the next one's.
	Stagger time.Duration
	// PreheatMax ends a session whose bath does not reach its temperature;
	// HoldMax one that is held, or left at a turn-over, for too long.
	PreheatMax, HoldMax time.Duration
	// RunOnLeast and RunOnMost bound the run-on of the fans; between them it
	// ends when the cabinet's air is at CabinetCool or cooler.
	RunOnLeast, RunOnMost time.Duration
	CabinetCool           physic.Temperature
	// Band is how far under its set temperature the bath falls before the
	// heater comes on again.
	Band physic.Temperature
	// TrialHeat is how long the heater is tried before preheat goes on, and
	// TrialPause how long its heat is then watched on its way: a heater that
	// little liquid covers is found before its plate gets hot.
	TrialHeat, TrialPause time.Duration
	// RollCall is how long a roll-call leaves a bank off; RollEvery the time
	// from one bank's turn to the next one's.
	RollCall, RollEvery time.Duration
	// Resume is how far under the recipe's limit a bath that has got there
	// must cool before emission goes on.
	Resume physic.Temperature
	// ProbeMaxAge is the oldest temperature that still counts.
	ProbeMaxAge time.Duration
	// Banks are the banks there are.
	Banks hal.Banks
	// Heater says whether there is a heater.
	Heater bool
}
