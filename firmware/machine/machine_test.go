package machine

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/recipe"
	"bathtender/hal"
	"bathtender/interlock"
	"bathtender/testdata"
)

// The demo tank is the one of the design.
func TestDemo(t *testing.T) {
	m := demo(t)
	assert.Equal(t, "slide tank", m.Name)
	assert.Len(t, m.Fingerprint, 64)
	assert.Equal(t, Tank{
		Length: 900 * physic.MilliMetre, Width: 200 * physic.MilliMetre, Depth: 150 * physic.MilliMetre,
		Fill: 110 * physic.MilliMetre, Minimum: 80 * physic.MilliMetre, Wall: physic.MilliMetre, Lid: true,
	}, m.Tank)
	assert.Equal(t, 19800*hal.MilliLitre, m.Volume(m.Tank.Fill))
	require.Len(t, m.Banks, 6)
	assert.Equal(t, Bank{2, 40 * physic.Watt, 81 * physic.Watt, 40 * physic.KiloHertz}, m.Banks[5])
	require.Len(t, m.Fans, 2)
	assert.Equal(t, Fan{2600 * hal.RPM, 1500 * hal.RPM, 2, 4 * physic.Watt, true}, m.Fans[1])
	assert.Equal(t, Contacts{true, true, true, true, true}, m.Contacts)
	assert.Equal(t, 230*physic.Volt, m.Mains.Nominal)
	// IEC 60038: 230 V, 10 % each way (oracle O10.2, from memory).
	assert.Equal(t, 207*physic.Volt, m.Mains.Low)
	assert.Equal(t, 253*physic.Volt, m.Mains.High)
	assert.Equal(t, Timings{
		Tick: 100 * time.Millisecond, Deadline: 200 * time.Millisecond, Lease: 300 * time.Millisecond,
		Watchdog: 2 * time.Second, Hazard: 5 * time.Second,
		Purge: 5 * time.Second, Watch: 7 * time.Second, Stagger: 2 * time.Second,
		PreheatMax: 90 * time.Minute, HoldMax: 30 * time.Minute,
		RunOnLeast: 2 * time.Minute, RunOnMost: 20 * time.Minute,
	}, m.Timings)
	assert.Equal(t, Probe{true, "1-Wire digital thermometer", "28-0000000b0002", 12}, m.Probes[hal.BathB])
	assert.Equal(t, Register{"watts", 12, "input", "float32", "ABCD", 1}, m.Meter.Registers[1])
}

// What the interlock is told, field by field.
func TestInterlock(t *testing.T) {
	m := demo(t)
	c := m.Interlock()
	assert.Equal(t, 14400*hal.MilliLitre, c.VolumeMinimum) // 900 x 200 x 80 mm by hand
	assert.Equal(t, 45*time.Minute, c.EmissionMax)
	assert.Equal(t, [4]bool{true, true, true, true}, [4]bool{c.FloatFitted, c.LidFitted, c.LeakFitted, c.AuxFitted})
	assert.Equal(t, 100*time.Millisecond, c.Tick)
	assert.Equal(t, 200*time.Millisecond, c.Deadline)

	assert.Equal(t, [hal.MaxFans]bool{true, true}, c.Fans.Required)
	assert.Equal(t, [hal.MaxFans]hal.RotationalSpeed{1500 * hal.RPM, 1500 * hal.RPM}, c.Fans.Minimum)
	assert.Equal(t, 300*hal.RPM, c.Fans.Silent)
	assert.Positive(t, c.Fans.MaxAge)

	// The power-on value of a 1-Wire digital thermometer (oracle O1.4).
	assert.Equal(t, celsius(85), c.Probes.PowerOn)
	assert.Equal(t, [hal.MaxProbes]bool{true, true, true}, c.Probes.Fitted)
	assert.Equal(t, celsius(-10), c.Probes.Low)
	assert.Equal(t, celsius(110), c.Probes.High)
	assert.Equal(t, celsius(70), c.Probes.BathLimit)
	assert.Equal(t, celsius(55), c.Probes.CabinetLimit)
	assert.Equal(t, 2*physic.Kelvin, c.Probes.EmissionAbove)
	assert.Equal(t, physic.Kelvin/2, c.Probes.Hysteresis)
	assert.Equal(t, physic.Kelvin, c.Probes.Rate)
	assert.Equal(t, 4*physic.Kelvin, c.Probes.Apart)
	assert.Positive(t, c.Probes.Step)
	// Longer than a 12-bit conversion of 750 ms (oracle O1.2).
	assert.Greater(t, c.Probes.MaxAge, 2*750*time.Millisecond)

	assert.Equal(t, 6, c.Power.Banks)
	assert.Equal(t, [hal.MaxBanks]physic.Power{81 * physic.Watt, 81 * physic.Watt, 81 * physic.Watt, 81 * physic.Watt, 81 * physic.Watt, 81 * physic.Watt}, c.Power.Bank)
	assert.Equal(t, physic.KiloWatt, c.Power.Heater)
	assert.Equal(t, 8*physic.Watt, c.Power.Fans)
	assert.Equal(t, 6*physic.Watt, c.Power.Standby)
	assert.Equal(t, int64(750), c.Power.BankShort)
	assert.Equal(t, 1300*time.Millisecond, c.Power.Settle)
	assert.Equal(t, time.Minute, c.Power.Frozen)
	assert.Equal(t, 40*physic.Watt, c.Power.Unexplained)
	assert.Equal(t, int64(100), c.Power.Tolerance)
	assert.Equal(t, []physic.ElectricPotential{230 * physic.Volt, 207 * physic.Volt, 253 * physic.Volt},
		[]physic.ElectricPotential{c.Power.Nominal, c.Power.Low, c.Power.High})
	assert.Equal(t, 4048*physic.Watt, c.Power.MeterMax) // 16 A x 253 V by hand
	assert.True(t, c.Power.ReportsVolts)

	for f := range interlock.FunctionCount {
		usual, _ := interlock.DefaultDelay(f)
		assert.Equal(t, usual, c.Delay[f], f)
	}
}

func TestOtherProbes(t *testing.T) {
	text := strings.ReplaceAll(demoText(t), `kind = "1-Wire digital thermometer"`, `kind = "Pt100"`)
	text = strings.ReplaceAll(text, "bits = 12\n", "")
	text = strings.Replace(text, `bath = "70 degC"`, `bath = "88 degC"`, 1)
	m, err := Parse("d", []byte(text))
	require.NoError(t, err)
	assert.Zero(t, m.Interlock().Probes.PowerOn)
}

func TestDelays(t *testing.T) {
	m, err := Parse("d", []byte(edited(t, "[delays]+", "airflow_lost = \"500 ms\"\nairflow_not_proven = \"30 s\"")))
	require.NoError(t, err)
	assert.Equal(t, 500*time.Millisecond, m.Interlock().Delay[interlock.AirflowLost], "shorter")
	assert.Equal(t, 30*time.Second, m.Interlock().Delay[interlock.AirflowNotProven], "longer, as far as its table allows")

	keys := map[string]bool{}
	for f := range interlock.FunctionCount {
		keys[f.Key()] = true
		assert.Regexp(t, `^[a-z_]+$`, f.Key())
	}
	assert.Len(t, keys, int(interlock.FunctionCount))
}

// Units are as people write them, and all mean the same.
func TestOtherUnits(t *testing.T) {
	text := demoText(t)
	for old, now := range map[string]string{
		`"900 mm"`: `"90 cm"`, `"200 mm"`: `"0.2m"`, `"1000 W"`: `"1 kW"`, `"70 degC"`: `"158 °F"`,
		`"45 min"`: `"0.75 h"`, `"55 degC"`: `"55 °C"`, `"100 ms"`: `"0.1 s"`, `"90 min"`: `"1 h 30 min"`,
	} {
		require.Contains(t, text, old)
		text = strings.ReplaceAll(text, old, now)
	}
	m, err := Parse("d", []byte(text))
	require.NoError(t, err)
	want := demo(t)
	assert.NotEqual(t, want.Fingerprint, m.Fingerprint)
	m.Fingerprint, m.Source = want.Fingerprint, want.Source
	assert.Equal(t, want, m)
}

func TestLoad(t *testing.T) {
	path := filepath.Join(t.TempDir(), "tank.toml")
	_, err := Load(path)
	require.ErrorIs(t, err, os.ErrNotExist)
	assert.Contains(t, err.Error(), "the machine file cannot be read: ")
	require.NoError(t, os.WriteFile(path, []byte("\xef\xbb\xbf"+strings.ReplaceAll(demoText(t), "\n", "\r\n")), 0o600))
	m, err := Load(path)
	require.NoError(t, err, "a byte order mark and the line ends of another system")
	assert.Equal(t, 19800*hal.MilliLitre, m.Volume(m.Tank.Fill))
}

func demoRecipe(t *testing.T, name string) *recipe.File {
	data, err := testdata.FS.ReadFile("recipes/" + name + ".toml")
	require.NoError(t, err)
	f, err := recipe.Parse(name+".toml", data)
	require.NoError(t, err)
	return f
}

func TestDemoRecipesSuitTheDemo(t *testing.T) {
	m := demo(t)
	for _, name := range []string{"degas", "gentle", "heavy"} {
		assert.NoError(t, m.CheckRecipe(demoRecipe(t, name)), name)
	}
	// 10 to 15 minutes to degas a fresh fill: common practice, no source.
	degas := demoRecipe(t, "degas").Recipe.Degas
	assert.GreaterOrEqual(t, degas, 10*time.Minute)
	assert.LessOrEqual(t, degas, 15*time.Minute)
	assert.Equal(t, 2, demoRecipe(t, "heavy").Recipe.Sides)
}

func TestCheckRecipe(t *testing.T) {
	m := demo(t)
	f, err := recipe.Parse("hot.toml", []byte(`name = "hot"
set = "70 degC"
limit = "75 degC"
degas = "20 min"
clean = "25 min"
sides = 2
pause = "30 min"
banks = 7
`))
	require.NoError(t, err)
	m.Heater.Power = 0
	assert.EqualError(t, m.CheckRecipe(f), `hot.toml:2:1: set "70 °C" needs a heater and the machine has none, allowed is a recipe without set
hot.toml:3:1: limit "75 °C" is over what the machine's bath limit "70 °C" leaves, allowed is up to "68 °C"
hot.toml:5:1: clean "25 min" after degas "20 min" is 45 min of emission without a pause, allowed is less than the machine's emission limit "45 min"
hot.toml:7:1: pause "30 min" is not shorter than the machine's hold_max "30 min", after which the session ends: allowed is less
hot.toml:8:1: banks 7 is more than the machine's 6, allowed are 1 to 6`)

	bare := &recipe.File{Recipe: recipe.Recipe{Name: "x", Limit: celsius(71)}}
	assert.EqualError(t, m.CheckRecipe(bare), `recipe "x": limit "71 °C" is over what the machine's bath limit "70 °C" leaves, allowed is up to "68 °C"`)
}

func TestTiming(t *testing.T) {
	m := demo(t)
	timing := m.Timing()
	assert.Equal(t, hal.FirstBanks(6), timing.Banks)
	assert.True(t, timing.Heater)
	assert.Equal(t, celsius(35), timing.CabinetCool)
}
