package prove

import (
	"time"

	"bathtender/hal"
	"bathtender/interlock"
)

// Views returns the views, each made anew.
func Views() []*View {
	return []*View{
		airView(), fansView(), probesView(), jumpsView(), bathView(), heatView(), levelView(), meterView(), mainsView(), heaterView(), silentView(), banksView(), shortView(),
		contactorView(), stopView(), lidView(), leakView(), hotView(), keptView(), lateView(), resetView(), sidesView(), longView(), togetherView(),
	}
}

type delays = map[interlock.Function]int

// stale makes a reading older than it may be.
func stale[Q ~int64](r *hal.Reading[Q], most time.Duration) { r.Age = most + 1 }

// contact is a switch that can be closed, open or absent.
func contact(name string, at func(*hal.Contacts) *hal.Contact) Dimension {
	return Dimension{name, []Option{
		as("closed"),
		{"open", func(g *Given) { *at(&g.Snapshot.Contacts) = hal.Open }},
		{"absent", func(g *Given) { *at(&g.Snapshot.Contacts) = hal.Absent }},
	}}
}

func leakDry(c *hal.Contacts) *hal.Contact    { return &c.LeakDry }
func levelOK(c *hal.Contacts) *hal.Contact    { return &c.LevelOK }
func lidClosed(c *hal.Contacts) *hal.Contact  { return &c.LidClosed }
func stopClosed(c *hal.Contacts) *hal.Contact { return &c.StopClosed }
