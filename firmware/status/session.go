package status

import (
	"time"

	"bathtender/firmware/recipe"
	"bathtender/firmware/supervisor"
)

func (b *Builder) session(s *supervisor.Status) Session {
	session := Session{
		Phase: s.Phase.String(), Recipe: s.Recipe, Side: s.Side, RollCall: s.RollCall,
		PhaseLeft: s.ToGo.Phase.Seconds(), Left: s.ToGo.Total.Seconds(), LeftKnown: s.ToGo.Known,
	}
	if r := b.recipe(s.Recipe); r != nil {
		session.Sides = r.Sides
		session.Progress = progress(b.began(s), b.frame.Still.Snapshot.Time, s.ToGo)
	}
	return session
}

// recipe returns the recipe of a name, or nil.
func (b *Builder) recipe(name string) *recipe.Recipe {
	for _, file := range b.from.Recipes {
		if name != "" && file.Recipe.Name == name {
			return &file.Recipe
		}
	}
	return nil
}

// began returns when the running session began, by the last events; it is kept
// from view to view, since a long session's start is no longer among them.
func (b *Builder) began(s *supervisor.Status) time.Duration {
	events, _ := b.frame.Recent()
	for _, e := range events {
		if e.Sequence.Kind == recipe.Started {
			b.started = e.At
		}
	}
	return b.started
}

// progress returns the share of a session that is done.
func progress(began, now time.Duration, left recipe.ToGo) float64 {
	done := (now - began).Seconds()
	whole := done + left.Total.Seconds()
	if done <= 0 || whole <= 0 || !left.Known {
		return 0
	}
	return min(done/whole, 1)
}
