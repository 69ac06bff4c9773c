package main

import (
	"bufio"
	"bytes"
	"fmt"
	"os"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/firmware/cli"
)

// Each side of a lockstep waits for the other: the names come before anything is
// sent, and each row is answered before the next one is there.
func TestLockstepAnswersEachRowBeforeTheNext(t *testing.T) {
	toSim, in, err := os.Pipe()
	require.NoError(t, err)
	fromSim, out, err := os.Pipe()
	require.NoError(t, err)
	ended := make(chan int)
	var errs bytes.Buffer
	go func() {
		code := command(cli.Streams{In: toSim, Out: out, Err: &errs}, []string{"lockstep"})
		out.Close()
		ended <- code
	}()
	answers := bufio.NewReader(fromSim)
	answer := func() string {
		require.NoError(t, fromSim.SetReadDeadline(time.Now().Add(time.Minute)))
		line, err := answers.ReadString('\n')
		require.NoError(t, err, "no answer: the two wait for each other")
		return line
	}
	assert.Equal(t, "time_s,out_contactor,out_fans,out_heater,out_banks,out_heartbeat,out_watchdog,out_sounder,out_lamp,events\n", answer())
	_, err = fmt.Fprintln(in, "time_s,bath_a_degC,bath_b_degC,cabinet_degC,mains_V,mains_W,fan_1_rpm,fan_2_rpm,level_ok,lid_closed,stop_closed,leak_dry,contactor_aux,request")
	require.NoError(t, err)
	fans := "0,0"
	for i := 1; i <= 40; i++ {
		request := ""
		if i == 5 {
			request = "start heavy"
		}
		_, err = fmt.Fprintf(in, "%d.%d,48,48,22,230.%d,6,%s,1,1,1,1,0,%s\n", i/10, i%10, i%7, fans, request)
		require.NoError(t, err)
		line := answer()
		var seconds float64
		var contactor, on int
		_, err = fmt.Sscanf(line, "%f,%d,%d,", &seconds, &contactor, &on)
		require.NoError(t, err, "%s", line)
		assert.InDelta(t, float64(i)/10, seconds, 1e-9)
		assert.Equal(t, i >= 5, on == 1, "the fans run from the start on: %s", line)
		if on == 1 {
			fans = "2600,2600" // the other side answers to what it was told
		}
	}
	require.NoError(t, in.Close())
	assert.Equal(t, cli.OK, <-ended)
	assert.Empty(t, errs.String())
}

// When the other side no longer listens, that is said, and it ends.
func TestLockstepEndsWhenNobodyListens(t *testing.T) {
	fromSim, out, err := os.Pipe()
	require.NoError(t, err)
	require.NoError(t, fromSim.Close())
	var errs bytes.Buffer
	code := command(cli.Streams{In: bytes.NewReader(nil), Out: out, Err: &errs}, []string{"lockstep"})
	assert.Equal(t, cli.Failed, code)
	assert.NotEmpty(t, errs.String())
}
