package prove

import (
	"bathtender/firmware/supervisor"
	"bathtender/hal"
	"bathtender/interlock"
)

// airView is about one fan with every kind of speed: purge, proof of air,
// emission, run-on.
func airView() *View {
	r := small(1, 1, delays{interlock.AirflowLost: 3, interlock.AirflowNotProven: 3, interlock.AirflowStuck: 2})
	r.Recipes[0].Clean = 5 * tick // longer than air may be missing
	low, silent := r.Interlock.Fans.Minimum[0], r.Interlock.Fans.Silent
	return &View{
		Name: "air", About: "a fan with every kind of speed", Rules: r,
		Varies: []Dimension{
			{"fan 1", []Option{
				as("follows"), speed("at its minimum", 0, low), speed("just under its minimum", 0, low-1),
				speed("just over a standing fan's", 0, silent+1), speed("at a standing fan's limit", 0, silent),
				noSpeed("absent", 0), oldSpeed("too old", 0, &r),
			}},
			asks(),
		},
		Reaches: []interlock.Function{interlock.AirflowLost, interlock.AirflowNotProven, interlock.AirflowStuck},
	}
}

// fansView is about two fans, each of which can fail.
func fansView() *View {
	r := small(2, 1, delays{interlock.AirflowLost: 2, interlock.AirflowNotProven: 2})
	return &View{
		Name: "fans", About: "two fans that stand or give nothing, one, the other or both", Rules: r,
		Varies: []Dimension{
			{"fan 1", []Option{as("follows"), speed("stands", 0, fanStands), noSpeed("absent", 0)}},
			{"fan 2", []Option{as("follows"), speed("stands", 1, fanStands), speed("turns", 1, fanTurns), noSpeed("absent", 1)}},
			asks(),
		},
		Reaches: []interlock.Function{interlock.AirflowLost, interlock.AirflowNotProven, interlock.AirflowStuck},
	}
}

func speed(name string, fan int, rpm hal.RotationalSpeed) Option {
	return Option{name, func(g *Given) { g.fansFollow[fan], g.Snapshot.Fans[fan] = false, hal.Fresh(rpm) }}
}

func noSpeed(name string, fan int) Option {
	return Option{name, func(g *Given) { g.fansFollow[fan] = false }}
}

func oldSpeed(name string, fan int, r *supervisor.Rules) Option {
	age := r.Interlock.Fans.MaxAge
	return Option{name, func(g *Given) {
		g.fansFollow[fan], g.Snapshot.Fans[fan] = false, hal.Fresh(fanTurns)
		stale(&g.Snapshot.Fans[fan], age)
	}}
}
