package listen

import (
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/alloc/study/hearing"
	"choirloft/midi/corpora"
)

// plain renders a sine for each note in the most obvious way, from the times that the
// study of the replay tells: nothing is shared with what is tested but the phase that
// a strand starts with.
type plain struct {
	t     require.TestingT
	s     *Sketch
	env   alloc.Envelope
	sound []float64
}

// note adds one that begins at a time, whose gate goes low at another, and whose voice
// is taken at a third.
func (p *plain) note(id alloc.NoteID, from, on, low, taken time.Duration) {
	n := &p.s.Replay.Reference.Notes[id]
	f := 440 * math.Pow(2, float64(n.Sounding-69)/12)
	amplitude := (hearing.Sound{Wave: hearing.Sine, Cutoff: 2000}).Amplitudes(n.Sounding)[0]
	phase := float64(startOf(id, 0)>>11) / (1 << 53)
	full := p.env.FullAt(on, 0)
	for i := range p.sound {
		at := time.Duration(i) * time.Second / Rate
		if at < on || at >= taken {
			continue
		}
		level := p.env.Level(full, min(at, low))
		if at > low {
			level *= math.Pow(10, -3*(at-low).Seconds()/p.env.Release.Seconds())
		}
		p.sound[i] += amplitude * level * math.Sin(2*math.Pi*(phase+f*(at-from).Seconds()))
	}
}

// compare allows 1 % of the energy, for rounding to samples, and what each fade of 96
// samples has more or less.
func (p *plain) compare(got []float64, what string) {
	wanted, off := 0.0, 0.0
	for i, x := range p.sound {
		wanted, off = wanted+x*x, off+(got[i]-x)*(got[i]-x)
	}
	require.Less(p.t, off, 0.01*wanted+fade*float64(len(p.s.strands)), what)
}

// Songs of many keys on few voices, as asked and as played, against the obvious way.
func TestAgainstPlainSines(t *testing.T) {
	cuts, rounds := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		if rounds++; rounds > corpora.Some(12, math.MaxInt) && cuts > 3 { // a few cases may have too few cuts: then more are drawn
			return
		}
		voices := rapid.IntRange(1, 3).Draw(t, "voices")
		p := rigOf(t, voices, "sound: {wave: sine}, attack: 40 ms, decay: 200 ms, sustain: 60 %, release: 700 ms", ", steal: oldest")
		var notes []note
		for i := range rapid.IntRange(1, 5).Draw(t, "notes") {
			on := rapid.IntRange(0, 15).Draw(t, "on") * 40
			notes = append(notes, note{key: 60 + 3*i, on: on, off: on + rapid.IntRange(1, 8).Draw(t, "length")*50})
		}
		song := songOf(t, notes)
		s := sketchOf(t, p, song)
		_, spans, err := p.Lanes(song)
		require.NoError(t, err)
		e := p.Rules.Config.Voices[0].Envelope
		asked := &plain{t, s, e, make([]float64, Rate)}
		for i, n := range s.Replay.Reference.Notes {
			asked.note(alloc.NoteID(i), n.Start, n.Start, n.End, hearing.Never)
		}
		got, _ := s.sounds(Asked, 0, Rate)
		asked.compare(got, "asked")
		played := &plain{t, s, e, make([]float64, Rate)}
		for i, x := range spans {
			taken := time.Duration(hearing.Never)
			if i+1 < len(spans) && spans[i+1].Voice == x.Voice {
				taken = spans[i+1].Start
				if late := s.Replay.Outcomes[spans[i+1].Note].Late; late > 0 { // the CV moves 1 ms before the gate
					taken += late - time.Millisecond
				}
			}
			o := &s.Replay.Outcomes[x.Note]
			played.note(x.Note, s.Replay.Reference.Notes[x.Note].Start, x.Start+o.Late, x.Low, taken)
			if o.Ending == study.HeldCut {
				cuts++
			}
		}
		got, _ = s.sounds(Played, 0, Rate)
		played.compare(got, fmt.Sprint("played: ", spans))
	})
	require.Greater(t, cuts, 3)
}
