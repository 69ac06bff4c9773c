package care

import (
	"fmt"

	"bathtender/firmware/journal"
	"bathtender/hal/quantity"
)

// ahead is how many days before it is due a test is already spoken of.
const ahead = 14

// Due returns what is due on a day, in sentences, the most pressing first; nothing where
// nothing is. A day counts from 1 January 1970 and is 0 where it is not known: what goes
// by days is then not said to be due, and that is said.
func Due(today int32, facts Facts, limits Limits) []string {
	var list []string
	for _, u := range facts.Tests.Unproven {
		on := "on a day that is not known"
		if u.Day != 0 {
			on = "on " + journal.DayText(u.Day)
		}
		list = append(list, fmt.Sprintf("%q failed its proof test %s: repair it before the tank is used, and repeat it with prooftest -only", u.Name, on))
	}
	if text := test("proof test", facts.Tests.ProofTested, facts.Tests.ProofTest, today, limits.ProofTest); text != "" {
		list = append(list, text)
	}
	if facts.Tests.FoilFailed {
		list = append(list, "the last foil test was failed: look for the bank under the bare patch, and repeat it")
	}
	if text := test("foil test", facts.Tests.FoilTested, facts.Tests.FoilTest, today, limits.FoilTest); text != "" {
		list = append(list, text)
	}
	if due := facts.Liquid.Due(today, limits.Change); due.Due {
		list = append(list, due.Sentence())
	} else if limits.Change.Days > 0 && facts.Liquid.Filled == 0 {
		list = append(list, "the day of the fill is not known, so nobody can say when the liquid is due for a change: note it with -kind fill")
	}
	for i := range facts.Banks {
		if text := spare(i, &facts.Banks[i]); text != "" {
			list = append(list, text)
		}
	}
	if today == 0 && (limits.ProofTest > 0 || limits.FoilTest > 0 || limits.Change.Days > 0) {
		list = append(list, "the clock is not set, so what is due by days is not known")
	}
	return list
}

// test says whether a test that is made every so many days is due or soon will be.
func test(name string, made bool, last, today int32, interval int) string {
	every := quantity.FormatDays(int64(interval))
	switch {
	case interval == 0:
		return ""
	case !made:
		return fmt.Sprintf("no %s is on record, its interval is %s", name, every)
	case last == 0:
		return fmt.Sprintf("the day of the last %s is not known, its interval is %s: make one", name, every)
	case today == 0:
		return ""
	case last > today:
		return fmt.Sprintf("the last %s is dated %s, after today, %s: set the clock", name, journal.DayText(last), journal.DayText(today))
	}
	switch left := interval - int(today-last); {
	case left <= 0:
		return fmt.Sprintf("the %s is due: the last was %s ago, its interval is %s", name, quantity.FormatDays(int64(today-last)), every)
	case left <= ahead:
		return fmt.Sprintf("the %s will be due in %s, on %s", name, quantity.FormatDays(int64(left)), journal.DayText(last+int32(interval)))
	}
	return ""
}
