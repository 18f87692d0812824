package contract

import (
	"cmp"
	"slices"
	"time"

	"choirloft/alloc/study"
	"choirloft/midi"
	"choirloft/routing/plan"
)

// Note is what became of one note: on which voices, and from when to when. Bars
// and beats count from 1; a beat has its fraction.
type Note struct {
	Part    string `json:"part"`    // empty for a note that no part plays
	Port    int    `json:"port"`    // from 1, as it came in
	Channel int    `json:"channel"` // from 1, as it came in
	Key     int    `json:"key"`     // as it sounds
	KeyName string `json:"key_name"`
	Voice   []int  `json:"voice"` // from 1, ascending; none for a note that never sounded
	// StartS is when the song starts the note. A voice may begin later: see Spans.
	StartS    float64 `json:"start_s"`
	StartBar  int     `json:"start_bar"`
	StartBeat float64 `json:"start_beat"`
	// GateEndS is when the last of its gates fell or was taken, and EndS when the
	// last of its voices was silent or taken; null for a note that never sounded.
	// Silent is the level at which a voice counts as free.
	GateEndS    *float64 `json:"gate_end_s"`
	GateEndBar  *int     `json:"gate_end_bar"`
	GateEndBeat *float64 `json:"gate_end_beat"`
	EndS        *float64 `json:"end_s"`
	EndBar      *int     `json:"end_bar"`
	EndBeat     *float64 `json:"end_beat"`
	Ending      string   `json:"ending"` // as in endings, or [Unplayed]
	// WrongCents is by how much its pitch was off at worst, in cents: out of range; 0
	// for one that was dropped. LateS is by how much it began late, in seconds.
	WrongCents float64    `json:"wrong_pitch_cents"`
	LateS      float64    `json:"late_s"`
	Spans      []NoteSpan `json:"spans"` // by voice, then by time
}

// NoteSpan is one voice of a note, until it was silent or taken. A note whose
// voices come and go may have several spans on one voice.
type NoteSpan struct {
	Voice int     `json:"voice"` // from 1
	FromS float64 `json:"from_s"`
	ToS   float64 `json:"to_s"`
}

// Unplayed is the ending of a note that no part plays. It counts as unmapped, not
// among the endings of the parts.
const Unplayed = "unplayed"

// NewNotes lists every note of a song once, in the order of the song, those of
// one instant by part; a note that several parts play once for each of them. Last of
// an instant are those that no part plays.
func NewNotes(p *plan.Plan, song *midi.Song, r *study.Replay, spans []study.Span) []Note {
	b := &builder{rig: p.Rig, cfg: &p.Rules.Config, song: song, replay: r, names: map[int]string{}}
	notes, gate, end := make([]Note, len(r.Outcomes)), make([]time.Duration, len(r.Outcomes)), make([]time.Duration, len(r.Outcomes))
	for i := range notes {
		n := &r.Reference.Notes[i]
		notes[i] = Note{Port: int(n.Port) + 1, Channel: int(n.Channel) + 1, Key: n.Sounding, Voice: []int{}, StartS: seconds(n.Start), Ending: EndingName(r.Outcomes[i].Ending), Spans: []NoteSpan{}}
		if o := &r.Outcomes[i]; o.Ending != study.Dropped {
			notes[i].WrongCents, notes[i].LateS = o.Missed, seconds(o.Late)
		}
		_, notes[i].Part, notes[i].KeyName = b.place(n)
		notes[i].StartBar, notes[i].StartBeat = song.Meter.Beat(song.Tempo.Tick(n.Start))
	}
	for i := range spans {
		s := &spans[i]
		n := &notes[s.Note]
		if number := s.Voice + 1; !slices.Contains(n.Voice, number) {
			n.Voice = append(n.Voice, number)
		}
		n.Spans = append(n.Spans, NoteSpan{s.Voice + 1, seconds(s.Start), seconds(s.Silent)})
		gate[s.Note], end[s.Note] = max(gate[s.Note], s.Low), max(end[s.Note], s.Silent)
	}
	for i := range notes {
		if n := &notes[i]; len(n.Spans) > 0 {
			n.GateEndS, n.GateEndBar, n.GateEndBeat = b.moment(gate[i])
			n.EndS, n.EndBar, n.EndBeat = b.moment(end[i])
		}
	}
	notes = append(notes, b.unplayed()...)
	slices.SortStableFunc(notes, func(x, y Note) int { return cmp.Compare(x.StartS, y.StartS) })
	return notes
}

// unplayed lists the notes that no part plays.
func (b *builder) unplayed() (notes []Note) {
	eachOn(b.replay.Performance.Steps, b.cfg.Parts, func(s *midi.Step, _, taken bool) {
		if !taken {
			bar, beat := b.song.Meter.Beat(b.song.Tempo.Tick(s.At))
			notes = append(notes, Note{Port: int(s.Port) + 1, Channel: int(s.Channel) + 1, Key: int(s.Key), KeyName: b.keyName(int(s.Key)), Voice: []int{},
				StartS: seconds(s.At), StartBar: bar, StartBeat: beat, Ending: Unplayed, Spans: []NoteSpan{}})
		}
	})
	return notes
}

// moment is a time in seconds and as a place in the song.
func (b *builder) moment(at time.Duration) (s *float64, bar *int, beat *float64) {
	secs := seconds(at)
	n, in := b.song.Meter.Beat(b.song.Tempo.Tick(at))
	return &secs, &n, &in
}
