package routing

import (
	"slices"

	"choirloft/alloc"
	"choirloft/profiles"
)

// voicing is all that moves the pitch of one voice.
type voicing struct {
	m          *Map
	voice      int
	box        *profiles.Interface // nil without a pitch jack
	kind       *profiles.Kind
	correction *profiles.Correction
	net        *Net
	scaled     *rescaled
	low, high  int // keys that it plays
}

// budgets works out those of all voices.
func (m *Map) budgets() {
	m.pool()
	corrections, played := Corrections(m.Rig), m.played()
	m.voicings = make([]voicing, len(m.Voices))
	same := map[alike]*Budget{}
	for i := range m.Voices {
		v := &m.voicings[i]
		*v = m.voicing(i, &corrections[i], played[i])
		of, ok := v.alike()
		if !ok {
			m.Voices[i].Budget = v.budget()
			continue
		}
		if same[of] == nil {
			same[of] = v.budget()
		}
		m.Voices[i].Budget = same[of]
	}
}

// alike is all that the budget of a voice depends on that is alone on its jack and
// nobody measured.
type alike struct {
	box                    *profiles.Interface
	kind                   *profiles.Kind
	low, high, first, last int // keys that it plays, and that its CV range has
	source, input          profiles.Ohms
	calibrated             int
	assumed                bool
}

// alike tells whether a voice is alone on its jack, without amplifiers on the way, and
// nobody measured it.
func (v *voicing) alike() (a alike, ok bool) {
	if v.net == nil || len(v.net.Load.Inputs) != 1 || !v.correction.None() || v.scaled != nil || len(v.m.amplifiers(v.net, v.m.pitchOf(v.voice))) > 0 {
		return alike{}, false
	}
	keys, l := v.m.Voices[v.voice].Keys, &v.net.Load
	return alike{box: v.box, kind: v.kind, low: v.low, high: v.high, first: int(keys[0].Key), last: int(keys[len(keys)-1].Key),
		source: l.Source, input: l.Inputs[0], calibrated: v.net.Calibrated, assumed: l.Assumed}, true
}

func (m *Map) voicing(voice int, c *profiles.Correction, played [2]int) voicing {
	v := voicing{m: m, voice: voice, correction: c, kind: &m.Rig.Kinds[m.Rig.Banks[m.Rig.Voices[voice].Bank].Kind], low: played[0], high: played[1]}
	if net := m.NetOf(m.Voices[voice].Lane(pitchInput)); net != nil && len(m.Voices[voice].Keys) > 0 {
		v.net, v.box = net, &m.Rig.Interfaces[net.Interface]
		v.scaled = m.scaled(net, m.pitchOf(voice))
	}
	return v
}

// played are the lowest and the highest key that each voice plays: those that its
// parts take, transposed, as far as the CV range reaches. Where a part says that
// it goes further, and is clamped there, so far; an end of its keys that is that of all keys
// says nothing. A voice that no part plays on has all within the CV range.
func (m *Map) played() [][2]int {
	all := make([][2]int, len(m.Voices))
	seen := make([]bool, len(m.Voices))
	for part := range m.Rig.Parts {
		for _, voice := range m.Players(part) {
			low, high, ok := m.playedBy(part, voice)
			switch {
			case !ok:
			case seen[voice]:
				all[voice] = [2]int{min(all[voice][0], low), max(all[voice][1], high)}
			default:
				all[voice], seen[voice] = [2]int{low, high}, true
			}
		}
	}
	for i, v := range m.Voices {
		if !seen[i] && len(v.Keys) > 0 {
			all[i] = [2]int{int(v.Keys[0].Key), int(v.Keys[len(v.Keys)-1].Key)}
		}
	}
	return all
}

// playedBy are the keys that a part plays on a voice.
func (m *Map) playedBy(part, voice int) (low, high int, ok bool) {
	keys := m.Voices[voice].Keys
	if len(keys) == 0 {
		return 0, 0, false
	}
	p, tracks := &m.Rig.Parts[part], m.Rig.Voices[voice].Keys
	first, last := int(keys[0].Key), int(keys[len(keys)-1].Key)
	low, high = max(int(p.Keys.Low)+p.Transpose, int(tracks.Low)), min(int(p.Keys.High)+p.Transpose, int(tracks.High))
	if p.OutOfRange != alloc.Clamp || p.Keys.Low == 0 {
		low = max(low, first)
	}
	if p.OutOfRange != alloc.Clamp || p.Keys.High == 127 {
		high = min(high, last)
	}
	return low, high, low <= high
}

// budget is that of the key where it is largest, nil without a pitch jack or
// without a key in reach. Each term grows from some key on either way, so that it is largest
// at an end, of the keys or of the CV range.
func (v *voicing) budget() *Budget {
	if v.box == nil {
		return nil
	}
	b := &Budget{Key: -1}
	most := 0.0
	keys := v.m.Voices[v.voice].Keys
	ends := []int{v.low, v.high, int(keys[0].Key), int(keys[len(keys)-1].Key)}
	for i, key := range ends {
		if key < v.low || key > v.high || slices.Contains(ends[:i], key) {
			continue
		}
		terms := v.terms(float64(key))
		if worst := sum(terms).Worst(); b.Key < 0 || worst > most+1e-9 {
			b.Key, b.Terms, most = key, terms, worst
		}
	}
	b.Unknown = v.unknown()
	return b
}

// At is the budget of a voice at a key; nil without a pitch jack.
func (m *Map) At(voice, key int) *Budget {
	v := &m.voicings[voice]
	if v.box == nil {
		return nil
	}
	return &Budget{key, v.terms(float64(key)), v.unknown()}
}

// Played are the lowest and the highest key that a voice plays.
func (m *Map) Played(voice int) (low, high int) { return m.voicings[voice].low, m.voicings[voice].high }

// Way is what a pitch goes through from its jack to a voice.
type Way struct {
	Inputs    int // that hang on the jack
	Multiples int // and other amplifiers on the way
}

// WayTo is the way to a voice; nothing without a jack.
func (m *Map) WayTo(voice int) Way {
	net := m.NetOf(m.Voices[voice].Lane(pitchInput))
	if net == nil {
		return Way{}
	}
	return Way{len(net.Load.Inputs), len(m.amplifiers(net, m.pitchOf(voice)))}
}

// pitchOf is the pitch input of a voice.
func (m *Map) pitchOf(voice int) Input { return Input{m.Rig.Voices[voice].Bank, voice, pitchInput} }
