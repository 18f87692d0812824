package plan

import (
	"fmt"
	"slices"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/midi"
	"choirloft/profiles"
)

// Proposal is a rig for a song.
type Proposal struct {
	Channels []study.ChannelUse // that have notes
	Names    []string           // of each: the name of its track; may be empty
	Demand   study.Demand       // of all channels but 10 together
	// Options make the rig: a part a channel, all on all banks, so that the
	// fewest voices do; enough of them that no note need be damaged, unless the
	// caller said how many; and unison where there are voices to spare.
	Options profiles.StarterOptions
}

// bankSize is how many voices a proposed bank has, and mostUnison the largest
// unison that is proposed: of more, neighbours lie so close at the default
// spread that voices of the default drift may trade places.
const (
	bankSize   = 4
	mostUnison = 2
)

// Propose works out a rig for a song. Options that are not zero are kept.
func Propose(song *midi.Song, o profiles.StarterOptions) (Proposal, error) {
	rules, err := starterRules(o)
	if err != nil {
		return Proposal{}, err
	}
	performance := study.Performance{Steps: song.Steps(midi.Order{}), End: song.Duration()}
	r, err := study.Play(rules, performance)
	if err != nil {
		return Proposal{}, err
	}
	p := Proposal{Channels: study.Channels(rules, performance), Demand: r.Rig.Demand, Options: o}
	if o.Voices == 0 {
		p.Options.Voices = bankSize
	}
	if o.Banks == 0 {
		p.Options.Banks = max(1, (p.Demand.Pedal+p.Options.Voices-1)/p.Options.Voices)
	}
	unison := min(mostUnison, p.Options.Banks*p.Options.Voices/max(1, p.Demand.Pedal))
	for _, c := range p.Channels {
		name := trackName(song, c)
		p.Names = append(p.Names, name)
		if c.Channel != drums {
			p.Options.Parts = append(p.Options.Parts, proposedPart(c, name, unison, p.onePort()))
		}
	}
	return p, nil
}

// onePort tells whether all notes come in on the first port. If not, parts
// have to name their port, or two of them would play each other's notes.
func (p *Proposal) onePort() bool {
	return !slices.ContainsFunc(p.Channels, func(c study.ChannelUse) bool { return c.Port > 0 })
}

// drums is the channel that General MIDI keeps for percussion, 10.
const drums midi.Channel = 9

// starterRules are those of a starter rig without parts.
func starterRules(o profiles.StarterOptions) (study.Rules, error) {
	rig, faults := profiles.Read("starter.yaml", profiles.Starter(profiles.StarterOptions{Kind: o.Kind}), nil)
	if len(faults) > 0 {
		return study.Rules{}, faults
	}
	p, err := Build(rig, Overrides{})
	if err != nil {
		return study.Rules{}, err
	}
	return p.Rules, nil
}

func proposedPart(c study.ChannelUse, name string, unison int, anyPort bool) profiles.StarterPart {
	if name == "" {
		name = "channel-" + c.Channel.String()
	}
	pedal := "no pedal"
	if c.Sustain {
		pedal = "with the pedal"
	}
	return profiles.StarterPart{
		Name:    name,
		Sources: []alloc.Source{{Port: c.Port, AnyPort: anyPort, Channels: 1 << c.Channel}},
		Unison:  max(1, unison),
		Comment: fmt.Sprintf("%d notes, keys %d-%d, at most %d held, %d with tails at once, %s",
			c.Notes, c.Low, c.High, c.Demand.Held, c.Demand.Audible, pedal),
	}
}

// trackName is the name of the track that a channel's first note stands in.
func trackName(song *midi.Song, c study.ChannelUse) string {
	for _, e := range song.Events {
		if e.Kind() == midi.NoteOn && e.Port == c.Port && e.Channel() == c.Channel && int(e.Track) < len(song.Tracks) {
			return song.Tracks[e.Track].Name
		}
	}
	return ""
}
