package plan

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"unicode"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/profiles/unit"
)

// Proposal is a rig for a song.
type Proposal struct {
	Channels []study.ChannelUse // that have notes
	Names    []string           // of each: the name of its track; may be empty
	Lines    []Line             // of all channels but 10: each is a part, in order
	Demand   study.Demand       // of all channels but 10 together
	// Options make the rig: a part a line, on banks of its own where there are enough
	// of them, and else all on all, so that the fewest voices do; enough of them that no
	// note of these parts need be damaged, unless the caller said how many; and unison
	// where there are voices to spare. Single lines are mono parts.
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
	zones := zonesIn(performance.Steps)
	if len(zones) > 0 {
		performance.Steps = song.Steps(midi.Order{}, zones...)
		rules.Config.Parts = zoneParts(rules.Config.Parts[0], zones)
	}
	r, err := study.Play(rules, performance)
	if err != nil {
		return Proposal{}, err
	}
	p := Proposal{Channels: study.Channels(rules, performance, zones...), Demand: r.Rig.Demand, Options: o}
	if o.Voices == 0 {
		p.Options.Voices = bankSize
	}
	if o.Banks == 0 {
		p.Options.Banks = max(1, (p.Demand.Pedal+p.Options.Voices-1)/p.Options.Voices)
	}
	unison := min(mostUnison, p.Options.Banks*p.Options.Voices/max(1, p.Demand.Pedal))
	p.Names = trackNames(song, p.Channels)
	var names []string // of lines
	for i, c := range p.Channels {
		if c.Channel == drums { // no zone is managed by it
			p.Options.Remarks = append(p.Options.Remarks, fmt.Sprintf("channel 10 left out: %s of drums", unit.Count(c.Notes, "note")))
			continue
		}
		for _, l := range linesOf(c) {
			p.Lines = append(p.Lines, l)
			names = append(names, lineName(p.Names[i], &l))
		}
	}
	pair(p.Lines)
	names = profiles.PartNames(names)
	for i := range p.Lines {
		p.Options.Parts = append(p.Options.Parts, p.part(i, names, max(1, unison)))
	}
	p.ownBanks()
	return p, nil
}

// ProposeFor is [Propose] for a song of a file: the rig is called after it, unless the options name it.
func ProposeFor(file string, song *midi.Song, o profiles.StarterOptions) (Proposal, error) {
	if o.Name == "" {
		o.Name = nameFor(file)
	}
	return Propose(song, o)
}

// nameFor is what a rig for the song of a file is called: a line, and no longer than a rig's name may be.
func nameFor(file string) string {
	base := strings.TrimSuffix(filepath.Base(file), filepath.Ext(file))
	name := []rune("Wall for " + strings.Map(func(c rune) rune {
		if !unicode.IsPrint(c) {
			return -1
		}
		return c
	}, strings.ToValidUTF8(base, "")))
	return strings.TrimSpace(string(name[:min(len(name), 80)]))
}

// Rig is the proposed rig as a file. The error says what is wrong with its options.
func (p *Proposal) Rig() ([]byte, error) {
	if err := p.Options.Check(); err != nil {
		return nil, err
	}
	return profiles.Starter(p.Options), nil
}

// ownBanks gives each part banks of its own, if there are enough for the peaks of all;
// what is left goes to the part with the highest.
func (p *Proposal) ownBanks() {
	need, left, most := make([]int, len(p.Lines)), p.Options.Banks, 0
	for i := range p.Lines {
		voices := p.Lines[i].Demand.Pedal * p.Options.Parts[i].Unison
		need[i] = (voices + p.Options.Voices - 1) / p.Options.Voices
		left -= need[i]
		if p.Lines[i].Demand.Pedal > p.Lines[most].Demand.Pedal {
			most = i
		}
	}
	if len(p.Lines) < 2 || left < 0 {
		return
	}
	need[most] += left
	bank := 0
	for i, n := range need {
		for range n {
			p.Options.Parts[i].Banks = append(p.Options.Parts[i].Banks, bank)
			bank++
		}
	}
}

// onePort tells whether all notes come in on the first port. If not, parts
// have to name their port, or two of them would play each other's notes.
func (p *Proposal) onePort() bool {
	return !slices.ContainsFunc(p.Channels, func(c study.ChannelUse) bool { return c.Port > 0 })
}

// zonesIn are the zones that the steps of a song set, where all its notes come in on
// the first port: a rig has its zones on every port.
func zonesIn(steps []midi.Step) []midi.Zone {
	if slices.ContainsFunc(steps, func(s midi.Step) bool { return s.Kind == midi.StepNoteOn && s.Port > 0 }) {
		return nil
	}
	return midi.ZonesSet(steps, 0)
}

// zoneParts are parts for zones, and for the channels beside them.
func zoneParts(whole alloc.Part, zones []midi.Zone) []alloc.Part {
	rest := whole
	rest.Sources = slices.Clone(whole.Sources)
	var parts []alloc.Part
	for _, z := range zones {
		part := whole
		part.Sources, part.Zones = nil, []midi.Zone{z}
		parts = append(parts, part)
		for i := range rest.Sources {
			rest.Sources[i].Channels &^= z.Channels()
		}
	}
	return append(parts, rest)
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

// lineName is what the part of a line is called: after its track, or its channel,
// and the side of a split.
func lineName(track string, l *Line) string {
	name := track
	switch {
	case name != "":
	case l.PerNote.Members > 0:
		name = "zone-" + l.Channel.String()
	default:
		name = "channel-" + l.Channel.String()
	}
	switch {
	case !l.Split():
		return name
	case l.Zone.Low == 0:
		return name + " low"
	}
	return name + " high"
}

// part proposes the part of a line.
func (p *Proposal) part(line int, names []string, unison int) profiles.StarterPart {
	l := &p.Lines[line]
	made := profiles.StarterPart{
		Name:    names[line],
		Sources: []alloc.Source{{Port: l.Port, AnyPort: p.onePort(), Channels: 1 << l.Channel}},
		Keys:    l.Zone,
		Unison:  unison,
	}
	if z := l.PerNote; z.Members > 0 {
		zone := profiles.PerNote(z)
		made.Sources, made.Zone, made.Members = nil, zone.Zone, zone.Members
	}
	pedal := "no pedal"
	if l.Sustain {
		pedal = "with the pedal"
	}
	says := []string{fmt.Sprintf("%d notes, keys %d-%d, at most %d held, %d with tails at once, %s",
		l.Notes, l.Low, l.High, l.Demand.Held, l.Demand.Audible, pedal)}
	if l.Single() {
		made.Mode = profiles.MonoLast
		says = append(says, "no two at once")
	}
	if l.Twin >= 0 {
		says = append(says, "the same notes as "+names[l.Twin])
	}
	made.Comment = strings.Join(says, ", ")
	return made
}

// trackNames are the names of the tracks that the channels' first notes stand in. A
// track of several channels, as all are in a file of one track, names none.
func trackNames(song *midi.Song, channels []study.ChannelUse) []string {
	tracks, count := make([]int, len(channels)), map[int]int{}
	for i, c := range channels {
		on := uint16(1) << c.Channel
		if c.PerNote.Members > 0 {
			on = c.PerNote.Channels()
		}
		tracks[i] = slices.IndexFunc(song.Events, func(e midi.Event) bool {
			return e.Kind() == midi.NoteOn && e.Port == c.Port && on>>e.Channel()&1 == 1
		})
		if tracks[i] >= 0 {
			tracks[i] = int(song.Events[tracks[i]].Track)
		}
		count[tracks[i]]++
	}
	names := make([]string, len(channels))
	for i, track := range tracks {
		if 0 <= track && track < len(song.Tracks) && count[track] == 1 {
			names[i] = song.Tracks[track].Name
		}
	}
	return names
}
