package health

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"bathtender/hal"
)

func TestLiquidAge(t *testing.T) {
	const day = 20000
	both := ChangeLimits{Emission: 8 * time.Hour, Days: 30}
	for _, c := range []struct {
		name   string
		age    LiquidAge
		today  int32
		limits ChangeLimits
		due    bool
		says   string
	}{
		{"emission over its limit", LiquidAge{Filled: day, EmissionSinceFill: 8*time.Hour + 10*time.Minute}, day + 3, both, true,
			"the liquid is due for a change: 8 h 10 min of emission, its limit is 8 h"},
		{"emission at its limit", LiquidAge{Filled: day, EmissionSinceFill: 8 * time.Hour}, day, both, true,
			"the liquid is due for a change: 8 h of emission, its limit is 8 h"},
		{"emission under its limit", LiquidAge{Filled: day, EmissionSinceFill: 8*time.Hour - time.Second}, day + 1, ChangeLimits{Emission: 8 * time.Hour}, false,
			"the liquid is not due for a change: 7 h 59 min of emission, its limit is 8 h; 1 day in the tank"},
		{"days at their limit", LiquidAge{Filled: day, EmissionSinceFill: time.Hour}, day + 30, both, true,
			"the liquid is due for a change: 30 days in the tank, its limit is 30 days"},
		{"days under their limit", LiquidAge{Filled: day, EmissionSinceFill: time.Hour}, day + 29, both, false,
			"the liquid is not due for a change: 1 h of emission, its limit is 8 h; 29 days in the tank, its limit is 30 days"},
		{"both", LiquidAge{Filled: day, EmissionSinceFill: 9 * time.Hour}, day + 31, both, true,
			"the liquid is due for a change: 9 h of emission, its limit is 8 h; 31 days in the tank, its limit is 30 days"},
		{"topped up", LiquidAge{Filled: day, EmissionSinceFill: 9 * time.Hour, ToppedUp: 2500 * hal.MilliLitre}, day, both, true,
			"the liquid is due for a change: 9 h of emission, its limit is 8 h; 2.5 l topped up since the fill"},
		{"no limits", LiquidAge{Filled: day, EmissionSinceFill: 900 * time.Hour}, day + 900, ChangeLimits{}, false,
			"the liquid is not due for a change: 900 h of emission; 900 days in the tank"},
		{"no day of the fill", LiquidAge{EmissionSinceFill: time.Hour}, day, both, false,
			"the liquid is not known to be due for a change: 1 h of emission, its limit is 8 h; an unknown number of days in the tank, its limit is 30 days"},
		{"no day of today", LiquidAge{Filled: day, EmissionSinceFill: time.Hour}, 0, both, false,
			"the liquid is not known to be due for a change: 1 h of emission, its limit is 8 h; an unknown number of days in the tank, its limit is 30 days"},
		{"a fill of tomorrow", LiquidAge{Filled: day, EmissionSinceFill: 8 * time.Hour}, day - 1, both, true,
			"the liquid is due for a change: 8 h of emission, its limit is 8 h"},
	} {
		t.Run(c.name, func(t *testing.T) {
			due := c.age.Due(c.today, c.limits)
			assert.Equal(t, c.due, due.Due)
			assert.Equal(t, c.says, due.Sentence())
		})
	}
}

// Older liquid is never less due, and what is topped up changes nothing.
func TestLiquidAgeProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		age := LiquidAge{
			Filled:            rapid.Int32Range(0, 30000).Draw(t, "filled"),
			EmissionSinceFill: time.Duration(rapid.Int64Range(0, int64(1000*time.Hour)).Draw(t, "emission")),
		}
		limits := ChangeLimits{
			Emission: time.Duration(rapid.Int64Range(0, int64(1000*time.Hour)).Draw(t, "limit")),
			Days:     rapid.IntRange(0, 400).Draw(t, "days"),
		}
		today := age.Filled + rapid.Int32Range(0, 400).Draw(t, "today")
		due := age.Due(today, limits).Due
		older := age
		older.EmissionSinceFill += time.Hour
		older.ToppedUp = 5 * hal.Litre
		assert.True(t, !due || older.Due(today, limits).Due)
		assert.True(t, !due || age.Due(today+1, limits).Due)
		older.EmissionSinceFill = age.EmissionSinceFill
		assert.Equal(t, due, older.Due(today, limits).Due)
		assert.False(t, age.Due(today, ChangeLimits{}).Due, "no limit, never due")
	})
}

func BenchmarkDue(b *testing.B) {
	b.ReportAllocs()
	age := LiquidAge{Filled: 20000, EmissionSinceFill: 9 * time.Hour}
	for range b.N {
		if !age.Due(20040, ChangeLimits{Emission: 8 * time.Hour, Days: 30}).Due {
			b.Fatal("due")
		}
	}
}
