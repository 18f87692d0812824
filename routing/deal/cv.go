package deal

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"choirloft/alloc/study"
	"choirloft/alloc/timing"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing"
	"choirloft/routing/plan"
)

// CVOptions say how control voltages are written as sound.
type CVOptions struct {
	Rate  int  // frames a second, 1 000–768 000; 0 for 48 000
	Float bool // samples are floats of 32 bits, else whole numbers of 24
}

// CV is a song as control voltages: a channel a lane, to be played through
// outputs that pass DC, and through nothing else.
//
// The lanes are those of the map that the song moves: pitch, gate, velocity and
// pressure of each voice in service, velocities and pressures of banks, and
// macros. A sample at full scale stands for the full-scale volts of the lane's
// interface. Gates are at the sample nearest to their time, CVs at the one at
// or before it, so that rounding never takes from the lead. A pitch stands where
// its first note needs it from the start on; a velocity or a controller of 127
// is the upper end of the window, 0 is 0 V or the lower end, if that is higher.
type CV struct {
	Plan     *plan.Plan
	Song     *midi.Song
	Replay   *study.Replay
	Rate     int
	Float    bool
	Frames   int64
	Channels []CVChannel
	Still    []string // lanes with a jack that nothing in the song moves
}

// CVChannel is one lane.
type CVChannel struct {
	Name      string // of the lane, as the map has it
	Input     string // pitch, gate …; empty for a macro
	Interface int    // index into Rig.Interfaces
	Full      profiles.Volts
	Low, High profiles.Volts // the lowest and the highest that it holds
	Outlet    routing.Outlet
	moves     []cvMove
}

// cvMove is what a channel does from a sample on.
type cvMove struct {
	at    int64
	volts profiles.Volts
	glide *cvGlide // nil where it stays at volts
}

// cvGlide is a way between two pitches.
type cvGlide struct {
	from, to float64 // keys
	lasts    float64 // samples
	volts    func(pitch float64) profiles.Volts
}

// Limits of files of CVs.
const (
	lowestRate, highestRate = 1_000, 768_000
	usualRate               = 48_000
	mostCVChannels          = 0xFFFF / 4 // a frame has at most 65 535 bytes
)

// NewCV works out the control voltages of a song. The error is an *[Error] where
// the plan or the options do not allow it.
func NewCV(p *plan.Plan, song *midi.Song, o CVOptions) (*CV, error) {
	if o.Rate == 0 {
		o.Rate = usualRate
	}
	if o.Rate < lowestRate || o.Rate > highestRate {
		return nil, &Error{fmt.Sprintf("found a rate of %d frames a second, want %d to %d", o.Rate, lowestRate, highestRate), ""}
	}
	if err := checkCV(p); err != nil {
		return nil, err
	}
	if p.InService() == 0 {
		return nil, errNoVoice()
	}
	replay, edges, err := study.Export(p.Rules, p.Performance(song))
	if err != nil {
		return nil, err
	}
	early(p.Rig, edges)
	c := &CV{Plan: p, Song: song, Replay: replay, Rate: o.Rate, Float: o.Float}
	if err := c.voices(edges); err != nil {
		return nil, err
	}
	c.shared(edges)
	c.macros()
	switch n := len(c.Channels); {
	case n == 0:
		return nil, &Error{"the song moves nothing that has a jack", "choirloft map says what has one"}
	case n > mostCVChannels:
		return nil, &Error{fmt.Sprintf("%d CVs and gates, and a file holds %d", n, mostCVChannels), ""}
	}
	c.Frames = c.sample(song.Duration()) + 1
	if c.Frames > math.MaxInt64/2/0xFFFF {
		return nil, &Error{fmt.Sprintf("found %d frames, want at most %d", c.Frames, math.MaxInt64/2/0xFFFF), "take a lower rate"}
	}
	for i := range c.Channels {
		if err := c.close(&c.Channels[i]); err != nil {
			return nil, err
		}
	}
	return c, nil
}

// checkCV refuses gates that no voltage can be.
func checkCV(p *plan.Plan) error {
	if len(p.Rig.Interfaces) == 0 {
		return &Error{"the rig has no interface, so nothing says which volts to write", "name the interface under interfaces, such as {main: {profile: audio-dc8}}"}
	}
	for i := range p.Map.Voices {
		l := p.Map.Voices[i].Lane("gate")
		if l != nil && l.Fits() && p.Rig.Interfaces[l.Interface].Gate.STrig {
			return &Error{"the gate of " + p.Rig.Voices[i].Name + " is a short to ground (S-trig), which no volts are", "write the gate in volts where a converter follows"}
		}
	}
	return nil
}

// sample is the one nearest to a time.
func (c *CV) sample(at time.Duration) int64 {
	return int64(math.Floor(at.Seconds()*float64(c.Rate) + 0.5))
}

// before is the last sample that is no later than a time.
func (c *CV) before(at time.Duration) int64 {
	return int64(math.Floor(at.Seconds()*float64(c.Rate) + 1e-6))
}

// channel adds the channel of a lane.
func (c *CV) channel(l *routing.Lane) *CVChannel {
	f := &c.Plan.Rig.Interfaces[l.Interface]
	c.Channels = append(c.Channels, CVChannel{Name: l.Name, Interface: l.Interface, Input: l.Input, Full: f.FullVolts(), Outlet: l.Outlet})
	return &c.Channels[len(c.Channels)-1]
}

// voices adds the lanes of the voices in service. Of those that have a jack in common, and
// do as one, the first moves it.
func (c *CV) voices(edges [][]timing.Edge) error {
	type jack struct {
		box, number int
		gate        bool
	}
	taken := map[jack]int{}
	for i := range c.Plan.Map.Voices {
		v := &c.Plan.Map.Voices[i]
		for j := range v.Lanes {
			l := &v.Lanes[j]
			if !l.Fits() {
				continue
			}
			leader, plays := c.Plan.LeaderOf(i)
			moves := c.lane(l, [][]timing.Edge{edges[i]})
			if moves == nil || !plays {
				c.Still = append(c.Still, l.Name)
				continue
			}
			at := jack{l.Interface, l.Jack, l.GateJack && c.Plan.Rig.Interfaces[l.Interface].Outputs == 0}
			other, twice := taken[at]
			switch {
			case twice && l.Input == "pitch" && other == leader, twice && l.Input == "gate" && c.sharesGate(i, other):
				continue
			case twice:
				return &Error{fmt.Sprintf("voices %s and %s have a jack in common, and do not play as one", c.Plan.Rig.Voices[other].Name, c.Plan.Rig.Voices[i].Name),
					"take one of them out of service, or give it jacks of its own"}
			}
			taken[at] = i
			if l.Input == "gate" {
				moves = c.gates(&c.Plan.Rig.Interfaces[l.Interface], c.onGate(l, edges))
			}
			c.channel(l).moves = moves
		}
	}
	return nil
}

// sharesGate tells whether two voices can have one gate: they play as one, or the rig says that
// one envelope is for both.
func (c *CV) sharesGate(a, b int) bool {
	x, _ := c.Plan.LeaderOf(a)
	y, _ := c.Plan.LeaderOf(b)
	return x == y || c.Plan.Map.Together(a, b) || sharesGate(c.Plan.Rig, a) && sharesGate(c.Plan.Rig, b)
}

// onGate are the edges of all voices whose gate comes out of the jack of a lane.
func (c *CV) onGate(l *routing.Lane, edges [][]timing.Edge) (of [][]timing.Edge) {
	for i := range c.Plan.Map.Voices {
		g := c.Plan.Map.Voices[i].Lane("gate")
		if g != nil && g.Fits() && c.Plan.Map.NetOf(g) == c.Plan.Map.NetOf(l) {
			of = append(of, edges[i])
		}
	}
	return of
}

// shared adds the lanes of banks that notes move.
func (c *CV) shared(edges [][]timing.Edge) {
	for i := range c.Plan.Map.Shared {
		l := &c.Plan.Map.Shared[i]
		if !l.Fits() {
			continue
		}
		var of [][]timing.Edge
		if l.Bank >= 0 {
			b := &c.Plan.Rig.Banks[l.Bank]
			of = edges[b.First : b.First+b.Size]
		}
		if moves := c.lane(l, of); moves != nil && l.Input != "pitch" && l.Input != "gate" {
			c.channel(l).moves = moves
			continue
		}
		c.Still = append(c.Still, l.Name)
	}
}

// lane is what the edges of some voices do to a lane; nil where they do not
// move it at all.
func (c *CV) lane(l *routing.Lane, voices [][]timing.Edge) []cvMove {
	f := &c.Plan.Rig.Interfaces[l.Interface]
	switch l.Input {
	case "pitch":
		return c.pitches(f, l.Voice, voices)
	case "gate":
		return c.gates(f, voices)
	case "velocity", "pressure":
		var moves []cvMove
		for _, edges := range voices {
			for i := range edges {
				switch e := &edges[i]; {
				case l.Input == "velocity" && e.Kind == timing.Pitch && e.Starts:
					moves = append(moves, cvMove{at: c.before(e.At), volts: control(f, float64(e.Velocity))})
				case l.Input == "pressure" && e.Kind == timing.Pressure:
					moves = append(moves, cvMove{at: c.before(e.At), volts: control(f, e.Value)})
				}
			}
		}
		return moves
	}
	return nil
}

// control is what a value of 0–127 is in volts.
func control(f *profiles.Interface, value float64) profiles.Volts {
	low := max(0, f.Window.Low)
	return low + (f.Window.High-low)*profiles.Volts(value/127)
}

// gates are the gates of voices on one jack: it is high while that of any is. Of an interface
// that gives triggers, they end no later than these.
func (c *CV) gates(f *profiles.Interface, voices [][]timing.Edge) (moves []cvMove) {
	type change struct {
		at   time.Duration
		high int // by how many gates
	}
	var changes []change
	for _, edges := range voices {
		var on time.Duration
		for i := range edges {
			switch e := &edges[i]; e.Kind {
			case timing.GateHigh:
				on = e.At
				changes = append(changes, change{on, 1})
			case timing.GateLow:
				low := e.At
				if f.Trigger > 0 {
					low = min(low, on+f.Trigger)
				}
				changes = append(changes, change{low, -1})
			}
		}
	}
	slices.SortStableFunc(changes, func(a, b change) int { return cmp.Compare(a.at, b.at) })
	up, down := gateVolts(f)
	high := 0
	for _, x := range changes {
		was := high
		if high += x.high; (was > 0) == (high > 0) {
			continue
		}
		m := cvMove{at: c.sample(x.at), volts: up}
		if high > 0 {
			m.volts = down
		}
		moves = append(moves, m)
	}
	return moves
}

// gateVolts are those of a gate while no key is down, and while one is.
func gateVolts(f *profiles.Interface) (up, down profiles.Volts) {
	if f.Active == profiles.Low {
		return f.Gate.Volts, 0
	}
	return 0, f.Gate.Volts
}

// pitches are those of a voice: with detune and bend, which the edges have, with
// its correction, within the window.
func (c *CV) pitches(f *profiles.Interface, voice int, voices [][]timing.Edge) (moves []cvMove) {
	correction := &routing.Corrections(c.Plan.Rig)[voice]
	volts := func(pitch float64) profiles.Volts {
		v := routing.CorrectedVolts(f, c.Plan.Rig.A4, correction, pitch)
		return max(f.Window.Low, min(f.Window.High, v))
	}
	now, moved := 0.0, false
	for _, edges := range voices {
		for i := range edges {
			e := &edges[i]
			if e.Kind != timing.Pitch {
				continue
			}
			m := cvMove{at: c.before(e.At), volts: volts(e.Value)}
			if e.Glide > 0 && moved {
				m.glide = &cvGlide{from: now, to: e.Value, lasts: e.Glide.Seconds() * float64(c.Rate), volts: volts}
			}
			if n := len(moves); n > 0 && moves[n-1].glide != nil {
				now = moves[n-1].glide.at(float64(m.at - moves[n-1].at)) // it may be cut on its way
				if m.glide != nil {
					m.glide.from = now
				}
			}
			now, moved = e.Value, true
			moves = append(moves, m)
		}
	}
	if len(moves) > 0 {
		moves[0].at = 0
	}
	return moves
}

// at is the pitch after so many samples.
func (g *cvGlide) at(samples float64) float64 {
	if samples >= g.lasts {
		return g.to
	}
	return g.from + (g.to-g.from)*samples/g.lasts
}

// macros adds the controllers that the song moves.
func (c *CV) macros() {
	for i := range c.Plan.Map.Macros {
		l := &c.Plan.Map.Macros[i]
		if !l.Fits() {
			continue
		}
		from, f := &c.Plan.Rig.Macros[l.Macro], &c.Plan.Rig.Interfaces[l.Interface]
		var moves []cvMove
		for _, e := range c.Song.Events {
			if e.Kind() == midi.ControlChange && e.Data1 == from.Controller && e.Channel() == from.Channel && (from.AnyPort || e.Port == from.Port) {
				moves = append(moves, cvMove{at: c.before(c.Song.Tempo.At(e.Tick)), volts: control(f, float64(e.Data2))})
			}
		}
		if moves == nil {
			c.Still = append(c.Still, l.Name)
			continue
		}
		c.channel(l).moves = moves
	}
}
