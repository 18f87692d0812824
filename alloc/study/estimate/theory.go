package estimate

// Theory is what traffic theory says of a number of voices. Shares are of all
// notes, but for the last three, which are of the time.
type Theory struct {
	Refused float64 // notes that come one by one, by a rule that never steals: Erlang's B
	Poisson float64 // notes that come one by one, stealing the oldest
	Chords  float64 // notes as they come, stealing the oldest
	// Tails is the share of notes that find fewer voices without an audible
	// sound than they take: they cut a tail or a note.
	Tails                               float64
	AboveHeld, AboveGated, AboveAudible float64 // more voices are wanted
}

func refused(t *Theory) float64 { return t.Refused }
func chords(t *Theory) float64  { return t.Chords }
func tails(t *Theory) float64   { return t.Tails }

// theorist holds what does not change from one number of voices to the next.
type theorist struct {
	singles, chords, tails *finders
	held, gated, audible   []float64
}

func (m *Model) theorist(streams []stream) *theorist {
	return &theorist{
		singles: newFinders(singly(streams), gated, m.period),
		chords:  newFinders(streams, gated, m.period),
		tails:   newFinders(streams, audible, m.period),
		held:    atLeast(streams, held, m.period, -1),
		gated:   atLeast(streams, gated, m.period, -1),
		audible: atLeast(streams, audible, m.period, -1),
	}
}

// Theory returns what the theory says of 1 to most voices: element v−1 is that
// of v voices.
func (m *Model) Theory(most int) []Theory {
	list := make([]Theory, most)
	erlang := ErlangB(m.All.Gated, most)
	widest := 1
	for i := range m.Lines {
		widest = max(widest, m.Lines[i].Width)
	}
	t := m.theorist(m.streams)
	for v := 1; v <= most; v++ {
		with := t
		if v < widest {
			with = m.theorist(m.streamsOf(v)) // unisons of fewer voices
		}
		list[v-1] = Theory{
			Refused: m.refused(erlang, v), Poisson: with.singles.share(v), Chords: with.chords.share(v), Tails: with.tails.share(v),
			AboveHeld: p(with.held, v+1), AboveGated: p(with.gated, v+1), AboveAudible: p(with.audible, v+1),
		}
	}
	return list
}

// refused is what a rule refuses that never steals.
func (m *Model) refused(erlang []float64, voices int) float64 {
	classes, weights := make([]Class, len(m.Lines)), make([]float64, len(m.Lines))
	all, same := 0.0, true
	for i := range m.Lines {
		line := &m.Lines[i]
		classes[i] = Class{Load: line.Gated, Width: min(line.Width, voices)}
		weights[i] = line.Layer.NotesPerSecond()
		all += weights[i]
		same = same && classes[i].Width == classes[0].Width
	}
	if same {
		return erlang[voices/classes[0].Width]
	}
	for i := range weights {
		weights[i] /= all
	}
	return MultiRate(classes, weights, voices)
}

// needed is the smallest number of voices at which a share is at most so much.
func (m *Model) needed(atMost float64, share func(*Theory) float64, list []Theory) int {
	for i := range list {
		if share(&list[i]) <= atMost {
			return i + 1
		}
	}
	return 0
}
