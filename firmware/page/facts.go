package page

import (
	"strings"
	"time"

	"bathtender/firmware/status"
	"bathtender/firmware/status/wording"
)

// facts are what the templates of the page show, all of it in words.
type facts struct {
	Fresh  bool
	Silent string // how long there has been no word
	Why    string

	Machine, Origin, Wall, Program, Uptime string
	Phase, Recipe, Left                    string
	Percent                                string
	Progress                               float64
	Running                                bool
	HandsOut                               bool
	Hands                                  string
	Notices                                []wording.Notice
	FirstOut                               string
	Announced                              []string
	Readings                               []reading
	Forecast                               []string
	Permits                                []permit
	Banks                                  []wording.BankRow
	Fans                                   []wording.FanRow
	Liquid                                 []reading
	Outputs, Contacts                      []reading
	Recent                                 []recent
	Journal                                string
	Ticks                                  string
}

// reading is a value against what it is held against.
type reading struct{ Name, Value, Against string }

type permit struct {
	Name, Why string
	Given     bool
}

type recent struct{ Ago, Kind, Text string }

// recentMost is how many of the newest events the page shows.
const recentMost = 12

// tell puts a word into words.
func tell(w *word) *facts {
	v := &w.view
	f := &facts{Fresh: w.fresh, Silent: wording.Seconds(w.silent.Truncate(time.Second).Seconds()), Why: wording.Plain(w.why),
		Machine: wording.Plain(v.Machine), Origin: wording.Origin(v), Wall: wording.Unknown, Program: wording.Plain(v.Program),
		Uptime: ifKnown(w, wording.Seconds(v.Uptime)),
		Phase:  wording.Phase(v), Recipe: wording.Recipe(v), Left: wording.Left(v),
		Notices: wording.Attention(v), FirstOut: wording.FirstOut(v), Journal: wording.Journal(v),
		Banks: wording.Banks(v), Fans: wording.Fans(v), Forecast: forecast(v), Ticks: wording.Unknown,
	}
	if !v.Wall.IsZero() {
		f.Wall = v.Wall.Format("2006-01-02 15:04:05")
	}
	f.Progress, f.Running = wording.Progress(v)
	f.Percent = wording.Value(f.Progress*100, 0, "%")
	f.HandsOut, f.Hands = wording.Hands(v)
	for i := range v.Latched { // without numbers, so that it is read aloud once
		f.Announced = append(f.Announced, wording.Plain(v.Latched[i].Name))
	}
	for i := range v.Permits {
		p := &v.Permits[i]
		f.Permits = append(f.Permits, permit{wording.Plain(p.Name), wording.Why(p), p.Given})
	}
	for i := len(v.Recent) - 1; i >= 0 && len(f.Recent) < recentMost; i-- {
		r := &v.Recent[i]
		f.Recent = append(f.Recent, recent{wording.Seconds(r.Ago), wording.Plain(r.Kind), wording.Plain(r.Text)})
	}
	f.tables(w)
	return f
}

// ifKnown returns a text where there is a view.
func ifKnown(w *word, text string) string {
	if w.view.Format == 0 {
		return wording.Unknown
	}
	return text
}

func (f *facts) tables(w *word) {
	v := &w.view
	b := &v.Bath
	limits := []string{}
	for _, l := range []struct {
		name  string
		value *float64
	}{{"set", b.Set}, {"limit", b.Limit}} {
		if text := wording.Number(l.value, 1, "°C"); text != wording.Unknown {
			limits = append(limits, l.name+" "+text)
		}
	}
	limits = append(limits, "machine "+ifKnown(w, wording.Value(b.LimitMachine, 1, "°C")))
	against := strings.ReplaceAll(strings.Join(limits, ", "), " °C", "\u00a0°C")
	f.Readings = []reading{
		{"bath probe A", wording.Number(b.A, 1, "°C"), against},
		{"bath probe B", wording.Number(b.B, 1, "°C"), against},
		{"cabinet air", wording.Number(v.Cabinet.Air, 1, "°C"), "limit " + ifKnown(w, wording.Value(v.Cabinet.Limit, 1, "°C"))},
		{"mains voltage", wording.Number(v.Mains.Volts, 1, "V"), ""},
		{"mains power", wording.Number(v.Mains.Watts, 0, "W"), ""},
		{"mains current", wording.Number(v.Mains.Amperes, 2, "A"), ""},
		{"mains frequency", wording.Number(v.Mains.Hertz, 2, "Hz"), ""},
	}
	l := &v.Liquid
	f.Liquid = []reading{
		{"liquid", wording.Litres(v), "minimum " + ifKnown(w, wording.Value(l.Minimum, 1, "l")) + ", fill " + ifKnown(w, wording.Value(l.Fill, 1, "l"))},
		{"time to the minimum", wording.Hours(l.ToMinimum), "evaporating " + wording.Number(l.Evaporating, 2, "l/h")},
		{"age of the liquid", ifKnown(w, wording.LiquidAge(v)), ""},
	}
	for _, o := range []struct {
		name string
		on   bool
	}{{"contactor", v.Outputs.Contactor}, {"fans", v.Outputs.Fans}, {"heater", v.Outputs.Heater}, {"sounder", v.Outputs.Sounder}, {"lamp", v.Outputs.Lamp}} {
		f.Outputs = append(f.Outputs, reading{Name: o.name, Value: ifKnown(w, wording.OnOff(o.on))})
	}
	for _, c := range v.Contacts {
		f.Contacts = append(f.Contacts, reading{Name: wording.Plain(c.Name), Value: wording.Plain(c.State)})
	}
	if v.Format > 0 {
		f.Ticks = wording.Value(float64(v.Loop.Ticks), 0, "ticks") + ", " + wording.Value(float64(v.Loop.Late), 0, "late") +
			", the latest by " + wording.Value(v.Loop.Worst*1000, 1, "ms")
	}
}

func forecast(v *status.View) []string {
	var list []string
	if v.Bath.ToSet != nil {
		list = append(list, "set temperature in "+wording.Seconds(*v.Bath.ToSet))
	}
	if v.Bath.AtEnd != nil {
		list = append(list, "at the end of the clean about "+wording.Number(v.Bath.AtEnd, 1, "°C"))
	}
	return list
}
