package estimate

import (
	"context"
	"fmt"
	"math"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/midi/corpora"
)

const ms = time.Millisecond

// rig has one part on some voices without a tail.
func rig(voices int, change ...func(*study.Rules)) study.Rules {
	r := study.Rules{LimitDB: -40, Overlap: 80 * ms, Config: alloc.Config{MinGate: 5 * ms, FreeDB: -60, Parts: []alloc.Part{part("all")}}}
	for range voices {
		r.Config.Voices = append(r.Config.Voices, alloc.Voice{Envelope: alloc.Envelope{Sustain: 1}})
	}
	for _, f := range change {
		f(&r)
	}
	return r
}

func part(name string) alloc.Part {
	return alloc.Part{Name: name, Sources: []alloc.Source{{AnyPort: true, Channels: 0xFFFF}}, Keys: alloc.KeyRange{High: 127},
		Velocities: [2]uint8{1, 127}, Banks: []int{0}}
}

// unison puts so many voices on a note; slow lets all voices fade.
func unison(voices int) func(*study.Rules) {
	return func(r *study.Rules) { r.Config.Parts[0].Unison.Voices = voices }
}

func slow(r *study.Rules) {
	for i := range r.Config.Voices {
		r.Config.Voices[i].Envelope.Release = 1500 * ms
	}
}

func model(t *testing.T, r study.Rules, text string) *Model {
	t.Helper()
	p, err := Parse(text)
	require.NoError(t, err)
	m, err := New(r, p)
	require.NoError(t, err)
	return m
}

func estimate(t *testing.T, m *Model, seed uint64, length time.Duration) *Estimate {
	t.Helper()
	e, err := m.Run(context.Background(), Options{Seed: seed, Length: length})
	require.NoError(t, err)
	return e
}

// ways4Tests are ways of playing of every kind.
var ways4Tests = []string{
	"notes, 4 a second, 0.5 s",
	"chords of 4, 2 a second, 0.8 s",
	"chords of 3-5, 90 a minute, 1.5 s, pedal 4 s",
	"chords of 4, 2 a second, 0.8 s, even",
	"chords of 2, 1 a second, 2 s + notes, 3 a second, 0.3 s",
}

// within is how many standard errors lie between what was played and a share.
func within(p Played, share float64) float64 { return math.Abs(p.Share-share) / p.Error }

// On 4 voices with 2 E the engine does what the formulas say, within 3 standard
// errors: refusing 2/21, stealing the oldest P(Poisson(2) ≥ 4). Three hours of it
// (ten with the corpora) tell the two apart by far, and each from the other's formula.
func TestPlayedAgainstFormulas(t *testing.T) {
	hours := corpora.Some(2, 10)
	e := estimate(t, model(t, rig(4), "notes, 4 a second, 0.5 s"), 1, time.Duration(hours)*time.Hour)
	at := e.Points[3]
	offered := 4 * 3600 * float64(hours)
	require.InDelta(t, offered, e.Counted, 4*math.Sqrt(offered))
	require.Less(t, within(at.Refusing, 2.0/21), 3.0, "%v ± %v", at.Refusing.Share, at.Refusing.Error)
	require.Less(t, within(at.Oldest, poissonTail(2, 4)), 3.0, "%v ± %v", at.Oldest.Share, at.Oldest.Error)
	require.Greater(t, within(at.Refusing, poissonTail(2, 4)), 10.0)
	require.Greater(t, within(at.Oldest, 2.0/21), 10.0)
	require.Less(t, at.Oldest.Error, 0.003*math.Sqrt(10/float64(hours)))
}

// Where the theory is exact the engine agrees with it on every number of voices;
// where it is not it damages no more. Within 4.5 standard errors, and where so
// few notes are damaged that there is no error to speak of, a few notes.
func TestPlayedAgainstTheory(t *testing.T) {
	minutes := corpora.Some(3, 20)
	for i := 0; i < len(ways4Tests); i += corpora.Some(3, 1) {
		text := ways4Tests[i]
		for n := 1; n <= 1+i%2; n++ { // some in unison too
			agrees(t, model(t, rig(4, unison(n), slow), text), minutes, fmt.Sprintf("%s in unison %d", text, n))
		}
	}
	for _, text := range ways4Tests[corpora.Some(2, 1):3] { // with a pedal too, which no trigger heeds
		trigger := func(r *study.Rules) { r.Config.Parts[0].Pulse = 300 * ms }
		m := model(t, rig(4, slow, trigger), text)
		require.Equal(t, 300*ms, m.Lines[0].Gate)
		agrees(t, m, minutes, text+" with triggers")
	}
}

// agrees holds what is played to the theory.
func agrees(t *testing.T, m *Model, minutes int, name string) {
	near := 0.06 * math.Sqrt(20/float64(minutes)) // of a share of time
	e := estimate(t, m, 7, time.Duration(minutes)*time.Minute)
	for i := range e.Points {
		at := &e.Points[i]
		room := 4.5*at.Oldest.Error + 8/float64(e.Counted)
		require.LessOrEqual(t, at.Oldest.Share, at.Chords+room, "%s on %d", name, at.Voices)
		if m.Exact() || m.Lines[0].Layer.Even {
			require.InDelta(t, at.Chords, at.Oldest.Share, room, "%s on %d", name, at.Voices)
		}
		above := e.Sizing.Share(e.Sizing.Audible.Above(at.Voices))
		require.InDelta(t, at.AboveAudible, above, near, "%s on %d", name, at.Voices)
		require.LessOrEqual(t, at.MustDamage, at.Oldest.Share+0.01)
	}
}

// The standard error is one: over many seeds what is played lies around the
// formula as far as it says. The spread of 40 such ratios, as with the corpora, is
// 1 ± 0.11 (1/√80), that of 16 is 1 ± 0.18; batch errors of their own add to it.
func TestStandardError(t *testing.T) {
	m := model(t, rig(4), "chords of 3, 2 a second, 0.5 s")
	want := m.Theory(6)[5].Chords
	sum, seeds := 0.0, corpora.Some(8, 40)
	for seed := range seeds {
		at := estimate(t, m, uint64(seed), 8*time.Minute).Points[5].Oldest
		z := (at.Share - want) / at.Error
		sum += z * z
	}
	require.InDelta(t, 1, math.Sqrt(sum/float64(seeds)), 0.35)
}

// Little's law is exact on a run that begins and ends in silence: the time that
// notes last, added up, is the number that sound, added up over time.
func TestLittle(t *testing.T) {
	for i := 0; i < len(ways4Tests); i += corpora.Some(3, 1) {
		text := ways4Tests[i]
		m := model(t, rig(4), text)
		e := estimate(t, m, 3, 10*time.Minute)
		var sum, area time.Duration
		for i := range e.Sizing.Reference.Notes {
			n := &e.Sizing.Reference.Notes[i]
			sum += n.End - n.Start
		}
		for depth, lasts := range e.Sizing.Pedal {
			area += time.Duration(depth) * lasts
		}
		require.Equal(t, sum, area, text)
		require.InEpsilon(t, e.Little, e.Mean, 1e-12)
		require.InEpsilon(t, m.All.Gated, e.Mean, 0.2, "about what is offered")
	}
}

// The voices that are enough: the last that is not is one fewer.
func TestNeeds(t *testing.T) {
	e := estimate(t, model(t, rig(4, slow), "chords of 4, 2 a second, 0.8 s"), 1, 10*time.Minute)
	require.Len(t, e.Needs, 2)
	for _, n := range e.Needs {
		for _, c := range []struct {
			voices int
			share  func(*Point) float64
		}{
			{n.Chords, func(p *Point) float64 { return p.Chords }}, {n.Tails, func(p *Point) float64 { return p.Tails }},
			{n.Refused, func(p *Point) float64 { return p.Refused }}, {n.Poisson, func(p *Point) float64 { return p.Poisson }},
			{n.Own, func(p *Point) float64 { return p.Own.Share }},
		} {
			require.LessOrEqual(t, c.share(&e.Points[c.voices-1]), n.AtMost)
			require.Greater(t, c.share(&e.Points[c.voices-2]), n.AtMost)
		}
	}
	// 24 by hand: P(Poisson(1.6) ≥ 6) is 0.6 % and ≥ 5 it is 2.4 %; on 23 a quarter
	// of the notes meet the one and three the other: 1.05 %.
	require.Equal(t, 24, e.Needs[0].Chords)
}

// An elastic unison damages no note while there are as many voices as notes.
func TestElasticCountsOnce(t *testing.T) {
	m := model(t, rig(4, unison(3), func(r *study.Rules) { r.Config.Parts[0].Unison.WhenShort = alloc.Elastic }), "notes, 4 a second, 0.5 s")
	require.Equal(t, 1, m.Lines[0].Width)
	require.False(t, m.Exact())
}

// The tail is that of the envelope: 1.5 s to −60 dB are 1 s to −40 dB.
func TestLoad(t *testing.T) {
	m := model(t, rig(4, slow, unison(2)), "chords of 3-5, 90 a minute, 1.5 s, pedal 4 s")
	require.Equal(t, 3500*ms, m.Lines[0].Gate)
	require.Equal(t, time.Second, m.Lines[0].Tail)
	require.InDelta(t, 6*1.5, m.All.Held, 1e-9)
	require.InDelta(t, 6*3.5, m.All.Gated, 1e-9)
	require.InDelta(t, 6*4.5, m.All.Audible, 1e-9)
	require.InDelta(t, 2*6*4.5, m.All.AudibleVoices, 1e-9)
	short := model(t, rig(4), "notes, 1 a second, 1 ms")
	require.Equal(t, 5*ms, short.Lines[0].Key, "the minimum gate")
}

// A budget that suffices changes nothing. One of half the work plays fewer numbers
// of voices, but that of the rig and the last, each as it is without a budget, in no
// more work than it has: 3 ways, each note two steps. Theory is not cut, and where
// the rules of the parts begin to be enough is found all the same.
func TestRunWithinABudget(t *testing.T) {
	for _, text := range ways4Tests[:2] {
		m := model(t, rig(40, slow), text)
		run := func(b *study.Budget) *Estimate {
			e, err := m.Run(context.Background(), Options{Seed: 5, Length: 2 * time.Minute, Voices: 40, Budget: b})
			require.NoError(t, err)
			return e
		}
		whole := run(nil)
		require.Len(t, whole.Points, whole.Sizing.Last)
		require.Equal(t, whole.Points, run(study.NewBudget(time.Minute)).Points)
		work := func(e *Estimate) (w study.Work) {
			for _, at := range e.Points {
				w += study.Work(len(ways)+1) * study.Work(2*e.Notes+at.Voices)
			}
			return w
		}
		half := work(whole) / 2
		some := run(study.NewBudget(time.Duration(half) * time.Second / study.WorkASecond))
		require.Less(t, work(some), half)
		require.Less(t, len(some.Points), len(whole.Points))
		require.Greater(t, len(some.Points), 5)
		require.Equal(t, whole.Needs, some.Needs)
		require.Equal(t, whole.Counted, some.Counted)
		for _, at := range some.Points {
			require.Equal(t, whole.Points[at.Voices-1], at)
		}
		has := func(voices int) bool {
			return slices.ContainsFunc(some.Points, func(p Point) bool { return p.Voices == voices })
		}
		require.True(t, has(40) && has(some.Sizing.Last) && has(some.Needs[0].Chords))
	}
}

func TestRunStops(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err := model(t, rig(4), "notes, 1 a second, 1 s").Run(ctx, Options{Length: time.Minute})
	require.ErrorIs(t, err, context.Canceled)
}
