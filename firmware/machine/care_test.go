package machine

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestCareMayBeMissing(t *testing.T) {
	m, err := Parse("tank.toml", []byte(without(t, "[care]")))
	require.NoError(t, err)
	assert.Equal(t, Care{}, m.Care)
}

func TestCareIsRead(t *testing.T) {
	m, err := Parse("tank.toml", []byte(without(t, "[care]")+`
[care]
proof_test = "180 days"
foil_test = "30 days"
change_emission = "20 h"
change_days = 30
`))
	require.NoError(t, err)
	assert.Equal(t, Care{ProofTest: 180, FoilTest: 30, ChangeEmission: 20 * time.Hour, ChangeDays: 30}, m.Care)
}

func TestCareThatCannotBe(t *testing.T) {
	for line, want := range map[string]string{
		`proof_test = "0 days"`:    `proof_test "0 days" in [care] is out of range, allowed are 1 day to 1096 days`,
		`foil_test = "0 days"`:     `foil_test "0 days" in [care] is out of range, allowed are 1 day to 1096 days`,
		`proof_test = "1097 days"`: `proof_test "1097 days" in [care] is out of range, allowed are 1 day to 1096 days`,
		`proof_test = 180`:         `proof_test 180 in [care] has no unit or no quotes, allowed is a number of days as in "180 days"`,
		`proof_test = "180"`:       `proof_test in [care]: number of days "180" has no unit, allowed are days and day, as in "180 days"`,
		`foil_test = "2.5 days"`:   `foil_test in [care]: number of days "2.5 days" is finer than can be kept, allowed are fewer decimals, as in "180 days"`,
		`change_emission = "30 s"`: `change_emission "30 s" in [care] is out of range, allowed are 1 min to 1000 h`,
		`change_days = "30"`:       `change_days "30" in [care] is not a whole number from 1 to 1000, allowed is as in change_days = 1`,
		`prooftest = "180 days"`:   `key "prooftest" in [care] is not known, the nearest allowed key is "proof_test"`,
	} {
		_, err := Parse("tank.toml", []byte(without(t, "[care]")+"\n[care]\n"+line+"\n"))
		assert.ErrorContains(t, err, want)
	}
}
