package estimate

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/profiles/unit"
)

// Model is a way of playing on the parts of a rig: what it offers.
type Model struct {
	Playing *Playing
	Lines   []Line // by layer
	// All is what all layers offer together.
	All Load

	rules   study.Rules
	keys    [][]keyRange // by part: what the player chooses from
	streams []stream
	period  float64 // of the pedal, in seconds; 0 without
}

// Line is what one layer offers.
type Line struct {
	Layer *Layer
	Part  int           // by index
	Width int           // voices of a note: the unison of the part
	Key   time.Duration // that the keys are down, at least the minimum gate, at most the part's trigger
	Gate  time.Duration // with the pedal, on average
	Tail  time.Duration // that can be heard after it; with a pedal, of the average note
	Load
}

// Load is the mean number of notes that sound, in erlang, and of the voices
// that they take.
type Load struct {
	Held, Gated, Audible                   float64 // notes
	HeldVoices, GatedVoices, AudibleVoices float64
}

func (l *Load) add(m *Load) {
	l.Held, l.Gated, l.Audible = l.Held+m.Held, l.Gated+m.Gated, l.Audible+m.Audible
	l.HeldVoices, l.GatedVoices, l.AudibleVoices = l.HeldVoices+m.HeldVoices, l.GatedVoices+m.GatedVoices, l.AudibleVoices+m.AudibleVoices
}

// mostMean is the largest mean number of voices that is estimated.
const mostMean = 256

// New fits a way of playing to the parts of a rig, which has a voice in service.
// Its error is a *[SyntaxError], at a layer.
func New(r study.Rules, p *Playing) (*Model, error) {
	m := &Model{Playing: p, rules: private(r)}
	if !slices.ContainsFunc(r.Config.Parts, func(p alloc.Part) bool { return p.Steal == alloc.StealLeastAudible }) {
		m.rules.Weigh = nil // an estimate tells no weights, and no rule goes by them
	}
	envelope := study.Pooled(r, 1).Config.Voices[0].Envelope
	for i := range p.Layers {
		l := &p.Layers[i]
		part, err := m.find(l)
		if err != nil {
			return nil, err
		}
		m.Lines = append(m.Lines, m.line(l, part, &envelope))
		m.All.add(&m.Lines[i].Load)
		if m.All.AudibleVoices > mostMean {
			return nil, l.fault(fmt.Sprintf("with this layer %s voices sound on average, tails included, at most %d are estimated", unit.Fixed(m.All.AudibleVoices, 0), mostMean), "play less, or shorten releases")
		}
	}
	if err := m.agree(); err != nil {
		return nil, err
	}
	m.keys = keyRanges(r.Config.Parts)
	m.streams = m.streamsOf(alloc.MaxVoices)
	return m, nil
}

func (l *Layer) fault(message, hint string) error { return &SyntaxError{l.at, message, hint} }

// private returns the rules with a channel for each part alone, so that a layer
// is heard by the part that it is aimed at and by no other, and with voices that
// reach every pitch: which keys are played is a matter of chance.
func private(r study.Rules) study.Rules {
	r.Config.Voices = slices.Clone(r.Config.Voices)
	for i := range r.Config.Voices {
		r.Config.Voices[i].Window = alloc.Window{}
	}
	r.Config.Parts = slices.Clone(r.Config.Parts)
	for i := range r.Config.Parts {
		port, channel := address(i)
		r.Config.Parts[i].Zones = nil
		r.Config.Parts[i].Sources = []alloc.Source{{Port: port, Channels: 1 << channel}}
	}
	return r
}

// find returns the part that plays a layer.
func (m *Model) find(l *Layer) (int, error) {
	parts := m.rules.Config.Parts
	var names []string
	for i := range parts {
		switch mono := parts[i].Mode != alloc.Poly; {
		case l.Part == "" && !mono:
			return i, m.room(l, &parts[i], i)
		case l.Part == parts[i].Name && mono:
			return 0, l.fault(fmt.Sprintf("part %s is mono, so it needs one voice whatever it plays", l.Part), "leave the layer out, and add a voice")
		case l.Part == parts[i].Name:
			return i, m.room(l, &parts[i], i)
		}
		names = append(names, parts[i].Name)
	}
	if l.Part == "" {
		return 0, l.fault("every part of the rig is mono, so each needs one voice whatever it plays", "")
	}
	return 0, l.fault(fmt.Sprintf("no part %q in the rig, its parts are %s", l.Part, strings.Join(names, ", ")), "")
}

// room refuses chords of more notes than a part has keys.
func (m *Model) room(l *Layer, p *alloc.Part, part int) error {
	if keys := int(p.Keys.High) - int(p.Keys.Low) + 1; l.Most > keys {
		return l.fault(fmt.Sprintf("chords of %d, but part %s takes %d keys", l.Most, p.Name, keys), "")
	}
	if part >= mostParts {
		return l.fault(fmt.Sprintf("part %s comes after %d others, layers may be aimed at the first %d parts", p.Name, part, mostParts), "")
	}
	return nil
}

func (m *Model) line(l *Layer, part int, envelope *alloc.Envelope) Line {
	p := &m.rules.Config.Parts[part]
	key, pedal := l.Length, l.Pedal
	if p.Pulse > 0 { // which no pedal holds
		key, pedal = min(key, p.Pulse), 0
	}
	line := Line{Layer: l, Part: part, Width: 1, Key: max(key, m.rules.Config.MinGate)}
	if p.Unison.WhenShort != alloc.Elastic {
		line.Width = max(1, p.Unison.Voices)
	}
	line.Gate = line.Key + pedal/2
	level := envelope.Level(envelope.FullAt(0, 0), line.Gate)
	line.Tail = envelope.Fade(alloc.DB(level), m.rules.LimitDB)
	rate := l.NotesPerSecond()
	width := float64(line.Width)
	line.Held, line.Gated, line.Audible = rate*line.Key.Seconds(), rate*line.Gate.Seconds(), rate*(line.Gate+line.Tail).Seconds()
	line.HeldVoices, line.GatedVoices, line.AudibleVoices = width*line.Held, width*line.Gated, width*line.Audible
	return line
}

// agree refuses pedals that one foot cannot play, and sets the period.
func (m *Model) agree() error {
	for i := range m.Lines {
		l := m.Lines[i].Layer
		if l.Pedal > 0 && m.period == 0 {
			m.period = l.Pedal.Seconds()
		}
		if l.Pedal > 0 && l.Pedal.Seconds() != m.period {
			return l.fault(fmt.Sprintf("pedal %s s, but an earlier layer has pedal %s s: there is one foot", number(l.Pedal.Seconds()), number(m.period)), "give both the same time")
		}
		for j := range i {
			if before := m.Lines[j].Layer; m.Lines[j].Part == m.Lines[i].Part && before.Pedal != l.Pedal {
				return l.fault(fmt.Sprintf("part %s has layers with and without a pedal", m.rules.Config.Parts[m.Lines[i].Part].Name), "give both the same pedal, or aim one of them at another part")
			}
		}
	}
	return nil
}

// streamsOf returns the layers for the theory on a number of voices: a unison
// takes at most all of them.
func (m *Model) streamsOf(voices int) []stream {
	list := make([]stream, len(m.Lines))
	for i := range m.Lines {
		line := &m.Lines[i]
		list[i] = stream{rate: line.Layer.Rate, least: line.Layer.Least, most: line.Layer.Most, width: min(line.Width, voices),
			even: line.Layer.Even, key: line.Key.Seconds(), tail: line.Tail.Seconds(), pedal: line.Layer.Pedal > 0 && m.rules.Config.Parts[line.Part].Pulse == 0}
	}
	return list
}

// singly returns streams whose notes come one by one at random, as many a second.
func singly(streams []stream) []stream {
	list := slices.Clone(streams)
	for i := range list {
		s := &list[i]
		s.rate, s.least, s.most, s.even = s.rate*s.mean(), 1, 1, false
	}
	return list
}

// Exact tells whether stealing the oldest damages exactly what the theory says:
// chords come at random, all notes last equally long and take as many voices,
// unisons take blocks, and no part keeps voices or may have only so many.
func (m *Model) Exact() bool {
	for i := range m.rules.Config.Parts {
		if p := &m.rules.Config.Parts[i]; p.Reserve > 0 || p.Limit > 0 {
			return false
		}
	}
	first := &m.Lines[0]
	for i := range m.Lines {
		line := &m.Lines[i]
		unison := &m.rules.Config.Parts[line.Part].Unison
		if unison.Voices > 1 && unison.WhenShort != alloc.Blocks {
			return false
		}
		if line.Layer.Even || line.Width != first.Width || line.Key != first.Key || line.Layer.Pedal != first.Layer.Pedal {
			return false
		}
	}
	return true
}

// longest is the longest that a note can be held or on the pedal.
func (m *Model) longest() time.Duration {
	var most time.Duration
	for i := range m.Lines {
		most = max(most, m.Lines[i].Key+m.Lines[i].Layer.Pedal)
	}
	return most
}

// ShortestRun is the least that the random player must play for an error that
// means something: 40 times the longest note.
func (m *Model) ShortestRun() time.Duration { return 40 * m.longest() }

// NotesIn is how many notes are played on average in a run for a time, before
// and after it included.
func (m *Model) NotesIn(length time.Duration) float64 {
	rate := 0.0
	for i := range m.Lines {
		rate += m.Lines[i].Layer.NotesPerSecond()
	}
	return rate * (length + 2*m.margin()).Seconds()
}

// margin is how long is played before the notes that count, and after them.
func (m *Model) margin() time.Duration { return 2 * m.longest() }
