package midi

import "time"

// Stepper turns events that come in one by one, as they do live, into the steps
// that [Song.Steps] makes of the same events where no two stand at one instant.
// The zero Stepper stands before the first. It allocates once for each port.
type Stepper struct{ p performer }

// Step returns the step of an event at a time; ok is false where it has none.
// The step is the stepper's own until the next call.
func (s *Stepper) Step(e Event, at time.Duration) (step *Step, ok bool) {
	if s.p.steps == nil {
		s.p.steps = make([]Step, 0, 1)
	}
	s.p.steps[:1][0] = Step{}
	s.p.steps = s.p.steps[:0]
	s.p.emit(&e, at, false)
	if len(s.p.steps) == 0 {
		return nil, false
	}
	step = &s.p.steps[0]
	step.Tick = e.Tick
	return step, true
}
