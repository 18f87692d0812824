package deal

import (
	"fmt"
	"math"

	"choirloft/alloc/study"
	"choirloft/alloc/timing"
	"choirloft/midi"
	"choirloft/routing/plan"
)

// Options say how a song is dealt.
type Options struct {
	// BendRange is the bend range in semitones, 1–127; 0 for the smallest that
	// covers every bend.
	BendRange int
	// Passes is how many recordings the song is split into: 0 for none, Fewest
	// for as few as leave no note damaged.
	Passes int
	// Groups are the parts of each recording, by index, in place of Passes; nil for none.
	Groups [][]int
	// AnyPasses lets the fewest be more than [study.MostPasses].
	AnyPasses bool
}

// Fewest asks for the fewest passes that leave no note damaged.
const Fewest = -1

// Deal is a song that has been dealt to voices.
type Deal struct {
	Plan  *plan.Plan
	Song  *midi.Song
	Tempo midi.TempoMap // of what is written
	Meter midi.MeterMap
	// Factor is the number of parts that each tick of the song was cut into; 1
	// where the division is kept. Coarse: even so a tick is longer than a gap.
	Factor int
	Coarse bool
	// BendRange is in semitones.
	BendRange int
	Passes    []Pass // at least one
	// FewestPasses is the number of passes below which notes are damaged
	// whatever the rules; 0 where the song is not split.
	FewestPasses int

	options Options
}

// Pass is what is played at once: all of the song, or of several recordings
// one.
type Pass struct {
	Replay *study.Replay // what became of its notes
	Lanes  []Lane        // of the voices in service, in ascending order
	// Controls are the tracks beside, in the order in which they are written:
	// before the voices, so that at one tick they come first.
	Controls []Control
	// Silent counts the notes that have a voice, but no gate: they are struck
	// again, or cut, before a gap is over. Short counts the gates below the
	// minimum.
	Silent, Short int
}

// New deals a song. The error is an *[Error] where the plan or the options do
// not allow it.
func New(p *plan.Plan, song *midi.Song, o Options) (*Deal, error) {
	d := &Deal{Plan: p, Song: song, options: o}
	homes, err := Homes(p)
	if err != nil {
		return nil, err
	}
	if p.InService() == 0 {
		return nil, errNoVoice()
	}
	passes, err := d.split()
	if err != nil {
		return nil, err
	}
	played := make([][][]timing.Edge, len(passes))
	for i := range passes {
		replay, edges, err := study.Export(p.Rules, passes[i])
		if err != nil {
			return nil, err
		}
		early(p.Rig, edges)
		played[i] = edges
		d.Passes = append(d.Passes, Pass{Replay: replay})
	}
	d.cutTicks(played)
	for i := range d.Passes {
		d.lanes(&d.Passes[i], homes, played[i])
		d.Passes[i].Controls = d.controls(&d.Passes[i])
	}
	return d, d.chooseRange()
}

// split returns what is to be played at once, one pass after the other.
func (d *Deal) split() ([]study.Performance, error) {
	whole := d.Plan.Performance(d.Song)
	if d.options.Groups != nil {
		passes, err := study.ByParts(d.Plan.Rules, whole, d.options.Groups)
		if err != nil {
			return nil, &Error{err.Error(), "put these parts into one recording"}
		}
		return passes, nil
	}
	if d.options.Passes == 0 {
		return []study.Performance{whole}, nil
	}
	ref := study.NewReference(d.Plan.Rules, whole)
	d.FewestPasses = study.PassBound(d.Plan.Rules, ref)
	if n := d.options.Passes; n > 0 {
		return study.InPasses(d.Plan.Rules, whole, ref, n), nil
	}
	most := study.MostPasses
	if d.options.AnyPasses {
		most = math.MaxInt
	}
	if d.FewestPasses > most {
		return nil, &Error{fmt.Sprintf("found a song that takes %d recordings at least, want at most %d", d.FewestPasses, most),
			"put more voices into service, or lift the limit with --yes"}
	}
	recording, err := study.FewestPasses(d.Plan.Rules, whole, most)
	return recording.Passes, err
}

// Error says why something cannot be dealt.
type Error struct{ Message, Hint string }

// Error returns the message, without the hint.
func (e *Error) Error() string { return e.Message }

func errNoVoice() error {
	return &Error{"no voice of the rig is in service, so there is none to deal the song to", "put a voice into service: out and spare stand in its bank"}
}

// End is the tick at which what is written ends: that of the song, or the last
// note's end.
func (d *Deal) End() midi.Tick {
	end := d.Song.End * midi.Tick(d.Factor)
	for i := range d.Passes {
		for _, l := range d.Passes[i].Lanes {
			if n := len(l.Notes); n > 0 {
				end = max(end, l.Notes[n-1].Off)
			}
		}
	}
	return end
}
