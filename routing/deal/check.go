package deal

import (
	"slices"
	"time"

	"choirloft/alloc"
	"choirloft/midi"
	"choirloft/routing"
	"choirloft/routing/detune"
	"choirloft/routing/plan"
)

// Check is a file that plays every voice of a rig in turn, to hear what is
// plugged wrong: at 120 quarters a minute in 4/4, two seconds a bar. It begins
// quiet, and what sounds together comes last.
type Check struct {
	Plan    *plan.Plan
	Lines   []CheckLine  // voices in ascending order
	Stacks  []CheckStack // then unisons
	Silent  []int        // voices that are out of service, and not played
	Bend    int          // bend range in semitones
	Bars    int
	Seconds float64

	lanes []Lane // by voice
}

// CheckLine is one voice: a bar of four strokes of one key, each louder than
// the one before, then its octaves from the lowest, a quarter each.
type CheckLine struct {
	Bar   int // from 1, of the strokes
	At    time.Duration
	Voice int
	Key   midi.Key   // of the strokes
	Keys  []midi.Key // the octaves: the lowest key, each C, the highest
}

// CheckStack is one unison: its voices join in by position, a quarter apart,
// and end together.
type CheckStack struct {
	Bar    int
	At     time.Duration
	Part   int
	Stack  int // from 1; 0 where voices meet as it comes, and these are the first
	Key    midi.Key
	Voices []CheckVoice // in the order of positions
}

// CheckVoice is a voice of a stack.
type CheckVoice struct {
	Voice    int
	Position int // from 1
	Detune   detune.Cents
}

// The measure of a line check, in ticks; a tick is a millisecond.
const (
	checkBeat = midi.Tick(500)
	checkBar  = 4 * checkBeat
	stroke    = midi.Tick(250)
	tone      = midi.Tick(400)
	// loud is the velocity of what is not a stroke.
	loud = 64
)

// strokes are the velocities of the four strokes: quiet first.
var strokes = [4]uint8{16, 40, 64, 88}

// LineCheck makes the line check of a plan. The error is an *[Error] where a
// voice has no channel.
func LineCheck(p *plan.Plan) (*Check, error) {
	homes, err := homesWhere(p, func(voice int) bool { return p.Rules.Config.Voices[voice].State != alloc.Out })
	if err != nil {
		return nil, err
	}
	if !slices.ContainsFunc(p.Rules.Config.Voices, func(v alloc.Voice) bool { return v.State != alloc.Out }) {
		return nil, &Error{"every voice of the rig is out, so there is none to check", "take one off the list under out in its bank"}
	}
	c := &Check{Plan: p, Bend: 1, lanes: make([]Lane, len(homes))}
	bar := 1
	for i, home := range homes {
		c.lanes[i] = Lane{Voice: i, Home: home}
		if home.Interface < 0 {
			c.Silent = append(c.Silent, i)
			continue
		}
		bar = c.voice(i, bar)
	}
	for i := range p.Map.Unisons {
		bar = c.unison(&p.Map.Unisons[i], bar)
	}
	c.Bars, c.Seconds = bar-1, (time.Duration(bar-1) * 2 * time.Second).Seconds()
	for i := range c.lanes {
		for _, m := range c.lanes[i].Bends {
			for ok := false; !ok && c.Bend < MostBend; {
				if _, ok = BendValue(m.Value, c.Bend); !ok {
					c.Bend++
				}
			}
		}
	}
	return c, nil
}

// barStart is where a bar begins.
func barStart(bar int) midi.Tick { return midi.Tick(bar-1) * checkBar }

func barTime(bar int) time.Duration { return time.Duration(barStart(bar)) * time.Millisecond }

// voice plays one voice from a bar on, and returns the bar after.
func (c *Check) voice(i, bar int) int {
	line := CheckLine{Bar: bar, At: barTime(bar), Voice: i}
	for _, k := range c.Plan.Map.Voices[i].Keys {
		line.Keys = append(line.Keys, k.Key)
	}
	line.Key = c.middle(i, line.Keys)
	at, own := barStart(bar), NewTuner(c.Plan, i, c.lanes[i].Home).detune // of an interface that detunes by itself
	for n, velocity := range strokes {
		c.play(i, at+midi.Tick(n)*checkBeat, stroke, line.Key, velocity, own)
	}
	at += checkBar
	for n, key := range line.Keys {
		c.play(i, at+midi.Tick(n)*checkBeat, tone, key, loud, own)
	}
	c.Lines = append(c.Lines, line)
	return bar + 1 + (len(line.Keys)+3)/4
}

// middle is the octave nearest to middle C that the voice has.
func (c *Check) middle(i int, keys []midi.Key) midi.Key {
	const middleC = 60
	best := midi.Key(middleC)
	for n, k := range keys {
		if n == 0 || distance(k, middleC) < distance(best, middleC) {
			best = k
		}
	}
	return best
}

func distance(a, b midi.Key) int { return max(int(a)-int(b), int(b)-int(a)) }

// play lets a voice sound a key, detuned by some semitones.
func (c *Check) play(i int, at, long midi.Tick, key midi.Key, velocity uint8, detune float64) {
	l := &c.lanes[i]
	tune := NewTuner(c.Plan, i, l.Home)
	l.Bends = append(l.Bends, Move{at, tune.Sent(float64(key)+detune) - float64(key)})
	l.Notes = append(l.Notes, Note{On: at, Off: at + long, Key: key, Velocity: velocity})
}

// unison plays the stacks of a part from a bar on. Where they are not fixed,
// the first voices of the part in service are one.
func (c *Check) unison(u *routing.Unison, bar int) int {
	stacks := u.Stacks
	fixed := len(stacks) > 0
	if !fixed {
		stacks = [][]int{c.first(u)}
	}
	for n, voices := range stacks {
		s := CheckStack{Bar: bar, At: barTime(bar), Part: u.Part, Key: u.Keys[1].Key}
		if fixed {
			s.Stack = n + 1
		}
		for position, voice := range voices {
			if !slices.Contains(c.Silent, voice) {
				s.Voices = append(s.Voices, CheckVoice{voice, position + 1, u.Keys[1].Cents[position]})
			}
		}
		beats := midi.Tick(len(s.Voices) + 3) // the last voice has four
		end := barStart(bar) + beats*checkBeat - (checkBeat - tone)
		for at, v := range s.Voices {
			on := barStart(bar) + midi.Tick(at)*checkBeat
			c.play(v.Voice, on, end-on, s.Key, loud, float64(v.Detune)/100)
		}
		c.Stacks = append(c.Stacks, s)
		bar += int((beats + 3) / 4)
	}
	return bar
}

// first are the first voices of a unison's part that are played here.
func (c *Check) first(u *routing.Unison) (voices []int) {
	for i := range c.lanes {
		bank := c.Plan.Rig.Voices[i].Bank
		if len(voices) < u.Of && c.Plan.Rules.Config.Voices[i].State.InService() && slices.Contains(c.Plan.Rig.Parts[u.Part].Banks, bank) {
			voices = append(voices, i)
		}
	}
	return voices
}

// Score returns the file.
func (c *Check) Score() *midi.Score {
	s := &midi.Score{
		Name:  "Line check",
		Texts: []string{"choirloft: line check of rig " + planText(c.Plan)},
		Meter: midi.NewMeterMap(midi.Division{Ticks: int(checkBeat)}, []midi.Signature{{Beats: 4, Unit: 4}}),
		Tempo: midi.NewTempoMap(midi.Division{Ticks: int(checkBeat)}, []midi.TempoChange{{Micros: midi.DefaultMicros}}),
		End:   barStart(c.Bars + 1),
	}
	for i := range c.lanes {
		if l := &c.lanes[i]; l.Home.Interface >= 0 {
			s.Tracks = append(s.Tracks, midi.ScoreTrack{Name: c.Plan.Rig.Voices[i].Name, Device: l.Home.Device,
				Port: l.Home.Port, Events: l.Events(c.Bend)})
		}
	}
	return s
}
