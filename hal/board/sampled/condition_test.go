package sampled_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"bathtender/hal/board/sampled"
)

func TestAChangeIsToldOnce(t *testing.T) {
	var told []string
	c := sampled.Condition{Log: func(s string) { told = append(told, s) }}
	say := func(samples string) {
		for _, s := range samples {
			if s == '+' {
				c.Good("works")
			} else {
				c.Bad("fails " + string(s))
			}
		}
	}
	say("++++")
	assert.Equal(t, []string{"works"}, told)
	say("aaa")
	assert.Equal(t, []string{"works", "fails a"}, told)
	assert.False(t, c.Works())
	// A loose wire: it works now and then.
	say("+a++a+a++a")
	assert.Equal(t, []string{"works", "fails a"}, told)
	say("b")
	assert.Equal(t, []string{"works", "fails a", "fails b"}, told)
	say("+++++")
	assert.Equal(t, []string{"works", "fails a", "fails b", "works"}, told)
	assert.True(t, c.Works())
}

func TestTheZeroConditionTellsNobody(t *testing.T) {
	var c sampled.Condition
	assert.False(t, c.Works())
	c.Bad("fails")
	c.Good("works")
}

func TestTellingNothingAllocatesNothing(t *testing.T) {
	c := sampled.Condition{Log: func(string) {}}
	assert.Zero(t, testing.AllocsPerRun(100, func() { c.Good("works") }))
}
