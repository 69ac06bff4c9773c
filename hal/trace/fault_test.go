package trace

import (
	"errors"
	"io"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// firstFault reads a trace to its end and returns the error.
func firstFault(text string) error {
	r, err := NewReader(strings.NewReader(text), "slide.csv")
	for err == nil {
		err = r.Next(new(Row))
		if err == io.EOF {
			return nil
		}
	}
	return err
}

func TestFaultSentences(t *testing.T) {
	for _, test := range []struct{ what, text, want string }{
		{"empty file", "", `slide.csv:1:1: the file is empty; expected a row of column names, with time_s among them`},
		{"only a mark", "\ufeff", `slide.csv:1:1: the file is empty; expected a row of column names, with time_s among them`},
		{"no time", "bath_a_degC,mains_W\n", `slide.csv:1:1: there is no column time_s, which every trace must have`},
		{"close name", "time_s,bath_a_degF\n", `slide.csv:1:8: unknown column "bath_a_degF"; did you mean bath_a_degC?`},
		{"other case", "\ufeffTIME_S\n", `slide.csv:1:1: unknown column "TIME_S"; did you mean time_s?`},
		{"ninth fan", "time_s,fan_9_rpm\n", `slide.csv:1:8: unknown column "fan_9_rpm"; did you mean fan_1_rpm?`},
		{"far name", "time_s,pressure_Pa\n", `slide.csv:1:8: unknown column "pressure_Pa"; no column of a trace has a name like it`},
		{"no name", "time_s,\n", `slide.csv:1:8: unknown column ""; no column of a trace has a name like it`},
		{"long name", "time_s," + strings.Repeat("x", 100) + "\n",
			`slide.csv:1:8: unknown column "` + strings.Repeat("x", 60) + `" and 40 bytes more; no column of a trace has a name like it`},
		{"twice", "time_s,mains_W,time_s\n", `slide.csv:1:16: column time_s stands at places 1 and 3; expected each column once`},
		{"age alone", "time_s,fan_1_age_s\n", `slide.csv:1:8: column fan_1_age_s is the age of column fan_1_rpm, which is missing`},
		{"garbage", "time_s,bath_a_degC\n1,60\n2,6o.5\n",
			`slide.csv:3:3: column bath_a_degC: "6o.5" is not a number; expected a decimal of degrees Celsius with at most 9 decimals`},
		{"nan", "time_s,mains_V\n1,nan\n", `slide.csv:2:3: column mains_V: "nan" is not a number; expected a decimal of volts with at most 9 decimals`},
		{"exponent", "time_s,mains_A\n1,1e3\n", `slide.csv:2:3: column mains_A: "1e3" is not a number; expected a decimal of amperes with at most 9 decimals`},
		{"no time value", "time_s,mains_W\n,5\n", `slide.csv:2:1: column time_s: "" is not a number; expected a decimal of seconds with at most 9 decimals`},
		{"too fine", "time_s,fan_1_rpm\n1,2600.0001\n",
			`slide.csv:2:3: column fan_1_rpm: "2600.0001" has too many decimals; expected a decimal of revolutions per minute with at most 3 decimals`},
		{"too big", "time_s,mains_Hz\n1,99999999999999\n",
			`slide.csv:2:3: column mains_Hz: "99999999999999" is out of range; expected hertz from -9223372036854.775808 to 9223372036854.775807`},
		{"too cold", "time_s,bath_b_degC\n1,-9223372310.004775809\n",
			`slide.csv:2:3: column bath_b_degC: "-9223372310.004775809" is out of range; expected degrees Celsius from -9223372310.004775808 to 9223371763.704775807`},
		{"bad age", "time_s,mains_W,mains_W_age_s\n1,5,x\n",
			`slide.csv:2:5: column mains_W_age_s: "x" is not a number; expected a decimal of seconds with at most 9 decimals`},
		{"age left out", "time_s,mains_W,mains_W_age_s\n1,5,\n",
			`slide.csv:2:5: column mains_W_age_s: the field is empty, and mains_W is 5; expected its age in seconds`},
		{"age of nothing", "time_s,mains_W,mains_W_age_s\n1,,0.1\n",
			`slide.csv:2:4: column mains_W_age_s: the age is 0.1, and mains_W is empty; expected no age where there is no reading`},
		{"contact", "time_s,lid_closed\n1,yes\n",
			`slide.csv:2:3: column lid_closed: "yes" is neither 0 nor 1; expected 1 for closed, 0 for open, or nothing for an absent contact`},
		{"record", "time_s,record_ok\n1,\n", `slide.csv:2:3: column record_ok: "" is neither 0 nor 1; expected one of them`},
		{"output", "time_s,out_heater\n1,2\n", `slide.csv:2:3: column out_heater: "2" is neither 0 nor 1; expected one of them`},
		{"banks", "time_s,out_banks\n1,11x\n",
			`slide.csv:2:3: column out_banks: "11x" is not a set of banks; expected a 0 or 1 for each bank, bank 1 first, at most 16 of them`},
		{"too many banks", "time_s,out_banks\n1,00000000000000001\n",
			`slide.csv:2:3: column out_banks: "00000000000000001" is not a set of banks; expected a 0 or 1 for each bank, bank 1 first, at most 16 of them`},
		{"some outputs", "time_s,out_heater,out_banks\n1,,11\n",
			`slide.csv:2:3: column out_heater: the field is empty, and other outputs of the row are not; expected all of them or none`},
		{"request", "time_s,request\n1,pause\n", `slide.csv:2:3: column request: "pause" is not a request; expected nothing, "start NAME", "stop" or "reset"`},
		{"start of nothing", "time_s,request\n1,start\n", `slide.csv:2:3: column request: "start" is not a request; expected nothing, "start NAME", "stop" or "reset"`},
		{"carriage return", "time_s,request\n1,\"start a\rb\"\n",
			`slide.csv:2:3: column request: "start a\rb" has a recipe name that holds a carriage return, which a trace cannot keep; expected a text without one`},
		{"not UTF-8", "time_s,request\n1,start \xff\n",
			`slide.csv:2:3: column request: "start \xff" has a recipe name that is not UTF-8; expected a text in UTF-8`},
		{"carriage return in events", "events,time_s\n\"fans on\r; purge\",1\n",
			`slide.csv:2:1: column events: "fans on\r; purge" holds a carriage return, which a trace cannot keep; expected a text without one`},
		{"events not UTF-8", "time_s,events\n1,fans on\n2,\xff\n",
			`slide.csv:3:3: column events: "\xff" is not UTF-8; expected a text in UTF-8`},
		{"events twice", "time_s,events,events\n", `slide.csv:1:15: column events stands at places 2 and 3; expected each column once`},
		{"close events", "time_s,event\n", `slide.csv:1:8: unknown column "event"; did you mean events?`},
		{"events without quotes around", "time_s,events\n1,session of \"heavy\" begins\n",
			`slide.csv:2:14: a quote stands inside a field that does not begin with one; expected the field in quotes and each quote inside it doubled`},
		{"fields missing", "time_s,mains_W,mains_V\n1,2,3\n1\n", `slide.csv:3:1: the row has 1 field; expected 3, one for each column name`},
		{"fields over", "time_s\n1\n\n1,2\n", `slide.csv:4:1: the row has 2 fields; expected 1, one for each column name`},
		{"bare quote", "time_s,request\n1,start \"a\"\n",
			`slide.csv:2:9: a quote stands inside a field that does not begin with one; expected the field in quotes and each quote inside it doubled`},
		{"open quote", "time_s,request\n1,\"start a\n",
			`slide.csv:2:12: a quoted field does not end with its closing quote; expected the field in quotes and each quote inside it doubled`},
		{"after lines in quotes", "time_s,request,mains_W\n1,\"start a\nb\",x\n",
			`slide.csv:3:4: column mains_W: "x" is not a number; expected a decimal of watts with at most 9 decimals`},
		{"long row", "time_s,request\n1,start " + strings.Repeat("x", 2<<20) + "\n",
			`slide.csv: the row after line 1 has more than 1048576 bytes; expected a line end before`},
	} {
		t.Run(test.what, func(t *testing.T) { assert.EqualError(t, firstFault(test.text), test.want) })
	}
}

func TestFaultStays(t *testing.T) {
	r, err := NewReader(strings.NewReader("time_s\n1\nx\n2\n"), "slide.csv")
	require.NoError(t, err)
	require.NoError(t, r.Next(new(Row)))
	first := r.Next(new(Row))
	require.Error(t, first)
	assert.Equal(t, first, r.Next(new(Row)), "the rows after a fault are not to be had")
}

func TestReaderPassesOnFaultsOfItsInput(t *testing.T) {
	broken := errors.New("bus off")
	r, err := NewReader(io.MultiReader(strings.NewReader("time_s\n1\n"), iotest.ErrReader(broken)), "slide.csv")
	require.NoError(t, err)
	require.NoError(t, r.Next(new(Row)))
	err = r.Next(new(Row))
	assert.ErrorIs(t, err, broken)
	assert.EqualError(t, err, "slide.csv: the trace could not be read: bus off")
}

// A file longer than the bound of one row is no long row.
func TestManyRowsAreNotALongRow(t *testing.T) {
	assert.NoError(t, firstFault("time_s\n"+strings.Repeat("1234.5\n", 400_000)))
}
