/*
 * The supervisor's rules, told a second time for SPIN: one fan, a float switch, a
 * bath limit that locks out, a lid, a stop loop, late ticks, outputs that are not
 * read back, restarts, and a recipe of two sides. It is not made from the Go code and shares nothing with
 * it; what both must hold is the same list of rules.
 *
 * Times are in ticks. A delay of 2 ticks fills by 4 a tick, is full at 8, and
 * drains by 1. Each defect is switched on by a macro, and must break a rule.
 */

#define NONE   0
#define START  1
#define STOP   2
#define RESET  3

#define ABSENT 0   /* of the fan's speed */
#define LOW    1
#define TURNS  2

#define IDLE   0
#define PURGE  1
#define CLEAN  2
#define TURN   3
#define RUNON  4

#define FULL   8

/* What the world gives at one tick. */
byte verb, fan;
bit stopOpen, floatDown, hot, lidUp, late, unread;

/* What the supervisor drives. */
bit fans, contactor, heater, bank, lamp, sounder, fed;

/* What the supervisor remembers. */
bit begun, proven;
byte verb0, phase, done, in, side, first;
byte cLost, cProof, cLevel;
bit tStop, tLate, tHot, tLost, tProof, tLevel, hLid;

/* What is worked out within one tick. */
bit released, pressed, fanBad, mayContactor, mayHeat, mayEmit, mayStart;

/* What the monitors have seen. They read the world and the outputs alone; what
   was told is the trips as they were before the tick and are after it. */
bit begunM, fans0, contactor0, heater0, bank0, lamp0;
byte verbM;
bit provenM, pressedM, lateM, owedLevel, owedHot;
byte noAir, lowFor, sinceEnd, firstM, newest;
bit wStop, wLate, wHot, wLost, wProof, wLevel, told0;
bit releasedM, pressedNow;

/* fill and drain one delay */
#define DELAY(c, bad) \
	if \
	:: (bad) -> c = (c + 4 > FULL -> FULL : c + 4) \
	:: else -> c = (c > 0 -> c - 1 : 0) \
	fi

#ifdef FIRST_IS_LAST
#define NAME(n) first = n
#else
#define NAME(n) first = (first == 0 -> n : first)
#endif

#ifdef RESET_BLIND
#define GONE(bad) (1)
#else
#define GONE(bad) (!(bad))
#endif

/* latch what acts, and give it back at a reset after the cause has gone */
#define LATCH(t, acts, bad, n) \
	if \
	:: (acts) && !t -> t = 1; NAME(n) \
	:: else -> \
		if \
		:: t && released && GONE(bad) -> t = 0 \
		:: else -> skip \
		fi \
	fi

inline judge() {
#ifdef RESET_HELD
	released = (verb == RESET);
#else
	released = (verb0 == RESET && verb != RESET);
#endif
#ifdef HELD_START
	pressed = (begun && verb == START);
#else
#ifdef START_BEFORE
	pressed = (verb == START && verb0 != START);
#else
	pressed = (begun && verb == START && verb0 != START);
#endif
#endif
	fanBad = (fan != TURNS);
#ifdef ABSENT_TURNS
	fanBad = (fan == LOW);
#endif
	if
	:: !fans -> proven = 0
	:: fans && !fanBad -> proven = 1
	:: else -> skip
	fi;
	/* the delays; what does not apply starts anew */
	if
	:: fans && proven -> DELAY(cLost, fanBad)
	:: else -> cLost = 0
	fi;
	if
	:: fans && !proven -> DELAY(cProof, fanBad)
	:: else -> cProof = 0
	fi;
#ifdef DELAY_LONGER
	if
	:: floatDown && cLevel < FULL - 2 -> cLevel = cLevel + 2
	:: else -> DELAY(cLevel, floatDown)
	fi;
#else
	DELAY(cLevel, floatDown);
#endif
	/* the trips, most drastic first */
	LATCH(tStop, stopOpen, stopOpen, 1);
	LATCH(tLate, late && begun, late && begun, 2);
	LATCH(tHot, hot, hot, 3);
	LATCH(tLost, fans && proven && fanBad && cLost >= FULL, fans && proven && fanBad, 4);
	LATCH(tProof, fans && !proven && fanBad && cProof >= FULL, fans && !proven && fanBad, 5);
	LATCH(tLevel, floatDown && cLevel >= FULL, floatDown, 6);
#ifdef LATE_FORGIVEN
	tLate = late && begun;
#endif
	cLevel = (released && !tLevel && !floatDown -> 0 : cLevel);
	hLid = lidUp; /* a hold, without a delay */
	first = (tStop || tLate || tHot || tLost || tProof || tLevel -> first : 0);
	mayContactor = !(tStop || tLate || tHot);
	mayHeat = mayContactor && !tLevel;
	mayEmit = mayContactor && proven && !tLost && !tProof && !tLevel && !hLid;
#ifndef ABSENT_TURNS
	mayEmit = mayEmit && fan != ABSENT;
#endif
#ifdef LID_IGNORED
	mayEmit = mayContactor && proven && !tLost && !tProof && !tLevel && fan != ABSENT;
#endif
	mayStart = mayContactor && !tLost && !tProof && !tLevel && !hLid && !stopOpen && !(late && begun) && !hot && !floatDown && !lidUp;
	mayStart = mayStart && ((fans && fan == TURNS) || (!fans && fan == LOW));
#ifdef START_ANYWAY
	mayStart = mayContactor;
#endif
}

inline go(p) { phase = p; done = 0; in = 0 }

inline advance() {
	in = (in < 3 -> in + 1 : 3);
	if
	:: pressed && phase == IDLE && mayStart -> go(PURGE); side = 0
	:: pressed && phase == TURN && mayStart -> go(CLEAN); side = 1
	:: else -> skip
	fi;
	if
#ifdef STOP_UNHEARD
	:: phase != IDLE && phase != RUNON && verb == STOP && !heater -> go(RUNON)
#else
	:: phase != IDLE && phase != RUNON && verb == STOP -> go(RUNON)
#endif
	:: phase != IDLE && phase != RUNON && (tStop || tLate || tHot || tLost || tProof || tLevel) -> go(RUNON)
	:: else -> skip
	fi;
	if
	:: phase == PURGE && done < 2 && proven -> done = done + 1
	:: phase == PURGE && done >= 2 && contactor -> done = done + 1
	:: phase == CLEAN && bank -> done = done + 1
	:: else -> skip
	fi;
	if
	:: phase == PURGE && done >= 3 -> go(CLEAN)
	:: phase == CLEAN && done >= 2 && side == 0 -> go(TURN)
	:: phase == CLEAN && done >= 2 && side == 1 -> go(RUNON)
#ifdef RUNON_SHORT
	:: phase == RUNON && in >= 1 -> go(IDLE)
#else
	:: phase == RUNON && in >= 2 -> go(IDLE)
#endif
	:: else -> skip
	fi;
	done = (phase == IDLE || phase == RUNON || phase == TURN -> 0 : done);
	in = (phase == IDLE -> 0 : in);
	side = (phase == IDLE || phase == RUNON -> 0 : side)
}

inline drive() {
	fans = (phase != IDLE);
	lamp = (phase == PURGE || phase == CLEAN || phase == TURN);
	bank = (phase == CLEAN && contactor && mayEmit);
	contactor = mayContactor && ((phase == PURGE && done >= 2) || phase == CLEAN || ((phase == RUNON || phase == TURN) && in == 0 && contactor));
#ifdef STOP_LATE
	contactor = (contactor || (stopOpen && contactor0 && !wStop));
#endif
#ifdef TURN_GOES_ON
	contactor = (contactor || (phase == TURN && in == 3 && mayContactor));
#endif
	heater = (phase == CLEAN && mayHeat && contactor);
#ifdef HEATER_FIRST
	heater = (heater || phase == PURGE);
#endif
	bank = bank && contactor;
#ifdef FANS_OFF
	fans = (fans && !(tStop || tLate || tHot || tLost || tProof || tLevel));
#endif
#ifdef ON_AT_FIRST
	fans = (fans || !begun);
#endif
	sounder = (tStop || tLate || tHot || tLost || tProof || tLevel);
	fed = (!(late && begun) && !unread);
#ifdef ALWAYS_FED
	fed = 1;
#endif
	verb0 = verb;
	begun = 1
}

/* before the supervisor decides */
inline look() {
	fans0 = fans; contactor0 = contactor; heater0 = heater; bank0 = bank; lamp0 = lamp;
	wStop = tStop; wLate = tLate; wHot = tHot; wLost = tLost; wProof = tProof; wLevel = tLevel;
	told0 = (tStop || tLate || tHot || tLost || tProof || tLevel);
	releasedM = (verbM == RESET && verb != RESET);
	pressedNow = (begunM && verb == START && verbM != START);
	if
	:: !fans -> provenM = 0
	:: fans && fan == TURNS -> provenM = 1
	:: else -> skip
	fi;
	noAir = (bank && fan != TURNS -> (noAir < 2 -> noAir + 1 : 2) : 0);
	lowFor = (floatDown -> (lowFor < 2 -> lowFor + 1 : 2) : 0);
	owedLevel = (lowFor >= 2 || (owedLevel && !(releasedM && !floatDown)));
	owedHot = (hot || (owedHot && !(releasedM && !hot)));
	lateM = ((late && begunM) || (lateM && !releasedM))
}

/* after it has */
inline hold_it_to_the_rules() {
	/* air */
	assert(!bank || (provenM && noAir < 2));
	/* cause acts */
	assert(!owedLevel || (!heater && !bank && tLevel));
	assert(!owedHot || (!heater && !bank && !contactor && tHot));
	assert(!lidUp || !bank);
	/* stop */
	assert(!stopOpen || (!contactor && !heater && !bank));
	assert(verb != STOP || (!heater && !bank && !lamp));
	assert(!(begunM && verbM == STOP) || !contactor);
	/* nothing starts by itself */
	assert(!(lamp && !lamp0) || pressedNow);
	assert(lamp || (!heater && !bank && !(contactor && !contactor0)));
	assert(!(contactor && !contactor0) || pressedM || pressedNow);
	/* held reset, and trip stays */
	assert(!(wStop && !tStop) || (releasedM && !stopOpen));
	assert(!(wLate && !tLate) || (releasedM && !(late && begunM)));
	assert(!(wHot && !tHot) || (releasedM && !hot));
	assert(!(wLost && !tLost) || releasedM);
	assert(!(wProof && !tProof) || releasedM);
	assert(!(wLevel && !tLevel) || (releasedM && !floatDown));
	assert(!(tStop || tLate || tHot || tLost || tProof || tLevel) || sounder);
	/* run-on */
	assert(!(lamp || bank) || fans);
	sinceEnd = (lamp || lamp0 -> 0 : (fans0 -> (sinceEnd < 2 -> sinceEnd + 1 : 2) : sinceEnd));
	assert(!(fans0 && !fans) || sinceEnd >= 2);
	sinceEnd = (fans -> sinceEnd : 0);
	/* restart */
	assert(begunM || !(contactor || fans || heater || bank || lamp));
	/* first-out: the uppermost of those that tripped at one tick */
	newest = (tStop && !wStop -> 1 : (tLate && !wLate -> 2 : (tHot && !wHot -> 3 : (tLost && !wLost -> 4 : (tProof && !wProof -> 5 : (tLevel && !wLevel -> 6 : 0))))));
	firstM = (!told0 && newest != 0 -> newest : firstM);
	firstM = ((firstM == 1 && tStop) || (firstM == 2 && tLate) || (firstM == 3 && tHot) || (firstM == 4 && tLost) || (firstM == 5 && tProof) || (firstM == 6 && tLevel) -> firstM : 0);
	assert(firstM == 0 || first == firstM);
	assert((tStop || tLate || tHot || tLost || tProof || tLevel) || first == 0);
	/* watchdog */
	assert(fed == (!(late && begunM) && !unread));
	/* contactor first */
	assert(!(heater || bank) || contactor);
	/* late stays */
	assert(!lateM || (!contactor && !heater && !bank));
#ifdef MUST_BE_REACHED
	/* no rule: it must be seen to be broken, or the rules are held by nothing happening */
	assert(!(bank && side == 1));
#endif
	/* start withheld */
	assert(!(lamp && !lamp0) || !(stopOpen || floatDown || hot || lidUp || (late && begunM) || fan != LOW || owedLevel || owedHot || lateM));
	pressedM = (!lamp -> 0 : (!lamp0 -> 1 : (contactor0 && !contactor -> 0 : pressedM)));
	verbM = verb;
	begunM = 1
}

/* what is no part of the state between two ticks */
inline forget() {
	verb = 0; fan = 0; stopOpen = 0; floatDown = 0; hot = 0; lidUp = 0; late = 0; unread = 0;
	released = 0; pressed = 0; fanBad = 0; mayContactor = 0; mayHeat = 0; mayEmit = 0; mayStart = 0;
	fans0 = 0; contactor0 = 0; heater0 = 0; bank0 = 0; lamp0 = 0;
	wStop = 0; wLate = 0; wHot = 0; wLost = 0; wProof = 0; wLevel = 0; told0 = 0;
	releasedM = 0; pressedNow = 0; newest = 0; fed = 0; sounder = 0
}

inline restart() {
	fans = 0; contactor = 0; heater = 0; bank = 0; lamp = 0;
	begun = 0; proven = 0; verb0 = 0; done = 0; in = 0; side = 0;
#ifndef GOES_ON
	phase = IDLE;
#endif
	cLost = 0; cProof = 0; cLevel = 0;
	tStop = 0; tLate = 0; tLost = 0; tProof = 0; tLevel = 0; hLid = 0;
#ifdef LOCKOUT_LOST
	tHot = 0;
#endif
	first = (tHot -> 3 : 0);
	/* the monitors keep what is locked out, and nothing else */
	begunM = 0; verbM = 0; provenM = 0; pressedM = 0; lateM = 0; owedLevel = 0;
	noAir = 0; lowFor = 0; sinceEnd = 0; firstM = 0
}

active proctype world() {
	do
	:: d_step { restart() }
	:: atomic {
		if :: verb = NONE :: verb = START :: verb = STOP :: verb = RESET fi;
		if :: fan = ABSENT :: fan = LOW :: fan = TURNS fi;
		if :: floatDown = 0 :: floatDown = 1 fi;
		/* of these one at a time; the others stay healthy */
		if :: skip :: stopOpen = 1 :: hot = 1 :: lidUp = 1 :: late = 1 :: unread = 1 fi;
		d_step { look(); judge(); advance(); drive(); hold_it_to_the_rules(); forget() }
	}
	od
}
