package scenario

import (
	"fmt"
	"os"
	"path"
	"path/filepath"
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/fileerror"
	"bathtender/firmware/machine"
	"bathtender/firmware/recipe"
	"bathtender/firmware/setup"
	"bathtender/firmware/tomlfile"
	"bathtender/hal"
	"bathtender/hal/quantity"
	"bathtender/sim/plant"
)

// ReadFile reads a file by its name, as os.ReadFile and embed.FS do.
type ReadFile func(name string) ([]byte, error)

// Load reads a scenario file, and the machine and recipe files that it names,
// which are looked for from where it lies.
func Load(name string) (*Scenario, error) { return LoadFrom(os.ReadFile, filepath.ToSlash(name)) }

// LoadFrom reads a scenario as Load does, from somewhere else.
func LoadFrom(read ReadFile, name string) (*Scenario, error) {
	data, err := read(name)
	if err != nil {
		return nil, fmt.Errorf("scenario %s cannot be read: %s", quantity.Quote(name), fileerror.Cause(err))
	}
	file, err := tomlfile.Parse(name, data)
	if err != nil {
		return nil, err
	}
	r := reader{file: file, read: read, s: &Scenario{Name: name}}
	return r.scenario()
}

type reader struct {
	file *tomlfile.File
	read ReadFile
	s    *Scenario
	// unsure says that an event could not be read, so that its name is unknown.
	unsure bool
}

func (r *reader) scenario() (*Scenario, error) {
	t, s := r.file.Root(), r.s
	s.About = t.NeedText("about", 400)
	machineName := r.named(t, "machine")
	recipeName := r.named(t, "recipe")
	seed := t.Integer("seed", 1, 0, 1<<31-1)
	s.Length = tomlfile.Or(t, "length", quantity.Duration, 4*time.Hour, time.Second, 60*24*time.Hour)
	if err := r.parts(t, machineName, recipeName); err != nil {
		return nil, err
	}
	if s.Machine != nil {
		s.Plant = plant.FromMachine(s.Machine)
		s.World = s.Plant.Workshop(uint64(seed))
		r.world(t.TableIf("world"))
	}
	for _, event := range t.Tables("event") {
		r.event(event)
	}
	for _, expect := range t.Tables("expect") {
		r.expect(expect)
	}
	r.bounds(t.TableIf("bounds"))
	return s, r.file.Err()
}

// named returns the path of a file that the scenario names.
func (r *reader) named(t *tomlfile.Table, key string) string {
	name := t.NeedText(key, 400)
	if name == "" || path.IsAbs(name) {
		return name
	}
	return path.Join(path.Dir(r.file.Name()), name)
}

// parts reads the machine and the recipe. What is wrong with them is told with
// their own files' places.
func (r *reader) parts(t *tomlfile.Table, machineName, recipeName string) error {
	s := r.s
	if machineName == "" || recipeName == "" {
		return nil // told already
	}
	data, err := r.read(machineName)
	if err != nil {
		t.Report("machine", "machine %s cannot be read: %s", quantity.Quote(machineName), fileerror.Cause(err))
		return nil
	}
	if s.Machine, err = machine.Parse(machineName, data); err != nil {
		return err
	}
	if data, err = r.read(recipeName); err != nil {
		t.Report("recipe", "recipe %s cannot be read: %s", quantity.Quote(recipeName), fileerror.Cause(err))
		return nil
	}
	if s.Recipe, err = recipe.Parse(recipeName, data); err != nil {
		return err
	}
	s.Config, err = setup.Supervisor(s.Machine, []*recipe.File{s.Recipe})
	return err
}

func celsius(t physic.Temperature) float64 { return float64(t) / float64(physic.Kelvin) }

func (r *reader) world(t *tomlfile.Table) {
	if t == nil {
		return
	}
	w := &r.s.World
	temperature := func(key string, usual float64, low, high physic.Temperature) float64 {
		zero := physic.ZeroCelsius
		if !t.Has(key) {
			return usual
		}
		return celsius(tomlfile.Or(t, key, quantity.Temperature, zero, zero+low*physic.Kelvin, zero+high*physic.Kelvin))
	}
	w.Room = temperature("room", w.Room, -10, 45)
	w.Bath = temperature("bath", w.Room, 1, 95)
	w.Humidity = float64(tomlfile.Or(t, "humidity", quantity.Share, int64(1000*w.Humidity), 0, 1000)) / 1000
	volts := tomlfile.Or(t, "mains", quantity.Voltage, physic.ElectricPotential(w.Volts*float64(physic.Volt)), physic.Volt, 440*physic.Volt)
	w.Volts = float64(volts) / float64(physic.Volt)
	litres := tomlfile.Or(t, "liquid", quantity.Volume, hal.Volume(w.Litres*float64(hal.Litre)), 0, 1000*hal.Litre)
	w.Litres = float64(litres) / float64(hal.Litre)
	w.LidOn = t.Truth("lid", w.LidOn)
}

func (r *reader) event(t *tomlfile.Table) {
	e := Event{At: tomlfile.Or(t, "at", quantity.Duration, 0, 0, 60*24*time.Hour)}
	if t.Has("in") {
		e.Phase, e.HasPhase = phase(t, "in")
	} else if !t.Has("at") {
		t.Report("at", "%s has neither at nor in, allowed is a time, a phase, or both", t.Label())
	}
	e.For = tomlfile.Or(t, "for", quantity.Duration, 0, 0, 60*24*time.Hour)
	what := 0
	for _, key := range [...]string{"fault", "request", "stall", "restart"} {
		if t.Has(key) {
			what++
		}
	}
	if what != 1 {
		t.Report("at", "%s has %d of fault, request, stall and restart, allowed is one", t.Label(), what)
		r.unsure = true
		return
	}
	switch {
	case t.Has("fault"):
		e.Fault = r.faultOf(t)
		if e.Fault.Kind == nil {
			r.unsure = true
			return
		}
		e.name = e.Fault.String()
	case t.Has("request"):
		word := t.NeedChoice("request", "start", "stop", "reset")
		e.Request.Verb = map[string]hal.Verb{"start": hal.Start, "stop": hal.Stop, "reset": hal.Reset}[word]
		if e.Request.Verb == hal.Start && r.s.Recipe != nil {
			e.Request.Recipe = r.s.Recipe.Recipe.Name
		}
		e.name = word
		r.unsure = r.unsure || word == ""
	case t.Has("stall"):
		e.Stall = tomlfile.Need(t, "stall", quantity.Duration, time.Millisecond, time.Hour)
		e.name = "stall"
	default:
		e.Restart = tomlfile.Need(t, "restart", quantity.Duration, time.Millisecond, 60*24*time.Hour)
		e.name = "restart"
	}
	if e.For > 0 && e.Stall+e.Restart > 0 {
		t.Report("for", "for in %s says how long a fault or a request lasts, allowed is none with stall and restart", t.Label())
	}
	r.s.Events = append(r.s.Events, e)
}

// phase reads the name of a phase.
func phase(t *tomlfile.Table, key string) (recipe.Phase, bool) {
	names := make([]string, recipe.PhaseCount)
	for p := range recipe.PhaseCount {
		names[p] = p.String()
	}
	word := t.NeedChoice(key, names...)
	for p := range recipe.PhaseCount {
		if word == p.String() {
			return p, true
		}
	}
	return 0, false
}
