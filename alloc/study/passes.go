package study

import (
	"slices"
	"time"

	"choirloft/alloc"
	"choirloft/midi"
)

// Recording in passes: a song that needs more voices than there are is played
// several times, a part of its notes each time, and the recordings are mixed.
//
// The fewest passes are the peak by the voices, rounded up. At the peak so many
// notes sound, and no pass can have more of them than there are voices. It is
// enough, too: go through the notes in the order of their starts and give each
// to any pass that has a voice left at that instant. There is one, for otherwise
// every voice of every pass would sound, the new note besides, and the peak
// would be above all of them. This is the partition of intervals into as many
// sets as are deep (Kleinberg & Tardos, Algorithm Design, §4.1), a pass being
// as many sets as there are voices.
//
// The argument asks for identical voices that any note may have, one for each
// note. Where the rules of a rig say otherwise (limits, unison, parts that share
// some banks) a pass may damage notes for all that, so every split is played,
// and one pass more is tried until none is damaged.

// Recording is a song split into passes.
type Recording struct {
	Passes []Performance // what is played in each
	// Fewest is the number of passes below which notes are damaged whatever the
	// rules: if there are no more passes than that, no fewer will do.
	Fewest int
	// Damaged counts the notes that are damaged in the passes all the same.
	Damaged int
}

// morePasses is how many passes beyond the fewest are tried.
const morePasses = 8

// MostPasses is how many recordings of a song anybody is taken to make: no more
// are offered, and no more are written by the way.
const MostPasses = 64

// FewestPasses splits a song into as few passes as leave no note damaged, at most
// so many. If even some more than the bound damage notes, it returns the split
// that damages the fewest; where the bound is above the most, a Recording without
// passes. Notes that are dropped because no voice reaches their pitch are
// dropped in any number of passes, and not counted.
func FewestPasses(r Rules, p Performance, most int) (Recording, error) {
	ref := NewReference(r, p)
	fewest := PassBound(r, ref)
	best := Recording{Fewest: fewest}
	for n := fewest; n <= min(fewest+morePasses, most); n++ {
		tried := Recording{Passes: InPasses(r, p, ref, n), Fewest: fewest}
		var err error
		if tried.Damaged, err = damagedIn(r, tried.Passes); err != nil {
			return Recording{}, err
		}
		if n == fewest || tried.Damaged < best.Damaged {
			best = tried
		}
		if best.Damaged == 0 {
			break
		}
	}
	return best, nil
}

// damagedIn plays passes and counts the notes that they damage for want of
// voices.
func damagedIn(r Rules, passes []Performance) (damaged int, err error) {
	for _, pass := range passes {
		replay, err := Play(r, pass)
		if err != nil {
			return damaged, err
		}
		for i := range replay.Outcomes {
			if o := &replay.Outcomes[i]; o.Ending.Damaged() && o.Cause != alloc.CauseRange {
				damaged++
			}
		}
	}
	return damaged, nil
}

// PassBound is how many passes it takes at least: in every group of parts that
// share banks the peak by the voices in service, rounded up; where notes wait no
// more than what [Reference.FewestDamaged] leaves of them needs.
func PassBound(r Rules, ref *Reference) int {
	fewest, cfg := 1, r.Config
	for _, g := range groups(cfg) {
		in := map[int]bool{}
		for _, p := range g.parts {
			in[p] = true
		}
		if v := len(serving(cfg, g.banks)); v > 0 {
			has := func(part int) bool { return in[part] }
			passes := roundUp(Peak(ref.Gates(has)), v)
			if late, least := ref.lateGates(&r, has); late != nil {
				passes = min(passes, roundUp(Peak(late), max(1, v/least)))
			}
			fewest = max(fewest, passes)
		}
	}
	return fewest
}

func roundUp(notes, voices int) int { return (notes + voices - 1) / voices }

// InPasses splits a song into n passes. Of those that have a voice left a note
// goes to the one that its part's last note went to, or else to the one that
// has most; if none has, to the one with the fewest notes too many. What
// belongs together stays together: a key that is struck again while it sounds,
// and a mono part. Pedals, bends and whatever else is not a note is in every
// pass.
func InPasses(r Rules, p Performance, ref *Reference, n int) []Performance {
	s := newSharer(r, p, ref, n)
	for i := range p.Steps {
		s.step(&p.Steps[i])
	}
	return s.passes
}

// sharer shares the steps of a song out to passes.
type sharer struct {
	cfg     alloc.Config
	ref     *Reference
	passes  []Performance
	room    [][]int // by pass and group: voices left
	groupOf []int   // by part
	last    []int   // by part: the pass of its latest note; −1
	of      map[passKey]keyPass
	open    []openNote // notes that sound
	next    int        // into ref.Notes
}

// passKey is a key of a channel.
type passKey struct {
	port    midi.Port
	channel midi.Channel
	key     midi.Key
}

// keyPass is the pass of a key's latest notes.
type keyPass struct {
	pass       int
	end        time.Duration // of the last of them
	superseded bool          // at the end the key is struck again
}

// openNote is a note that sounds. One that is superseded keeps its voice for
// the note that follows.
type openNote struct {
	end         time.Duration
	superseded  bool
	part        int
	key         passKey // zero for a mono part
	pass, group int
	voices      int
}

func newSharer(r Rules, p Performance, ref *Reference, n int) *sharer {
	s := &sharer{cfg: r.Config, ref: ref, passes: make([]Performance, n), of: map[passKey]keyPass{}}
	gs := groups(r.Config)
	s.groupOf, s.last = make([]int, len(r.Config.Parts)), make([]int, len(r.Config.Parts))
	for g := range gs {
		for _, part := range gs[g].parts {
			s.groupOf[part], s.last[part] = g, -1
		}
	}
	for i := range s.passes {
		s.passes[i].End = p.End
		room := make([]int, len(gs))
		for g := range gs {
			room[g] = len(serving(r.Config, gs[g].banks))
		}
		s.room = append(s.room, room)
	}
	return s
}

// step gives a step to its pass, or to all.
func (s *sharer) step(x *midi.Step) {
	id := passKey{x.Port, x.Channel, x.Key}
	switch x.Kind {
	case midi.StepNoteOn:
		s.noteOn(x, id)
	case midi.StepNoteOff:
		s.add(s.of[id].pass, x)
	default:
		for i := range s.passes {
			s.add(i, x)
		}
	}
}

func (s *sharer) add(pass int, x *midi.Step) {
	s.passes[pass].Steps = append(s.passes[pass].Steps, *x)
}

func (s *sharer) noteOn(x *midi.Step, id passKey) {
	notes := s.notesOf(x)
	s.close(x.At, notes, id)
	before, struck := s.of[id]
	now := keyPass{pass: before.pass, end: before.end}
	again := struck && (before.end > x.At || before.superseded && before.end == x.At)
	if len(notes) > 0 && !again {
		now.pass = s.choose(notes)
	}
	for i := range notes {
		n := &notes[i]
		now.end = max(now.end, n.End)
		now.superseded = now.superseded || n.Superseded
		s.last[n.Part] = now.pass
		if n.End > n.Start || n.Superseded && s.cfg.Parts[n.Part].Mode == alloc.Poly {
			s.sound(n, id, now.pass)
		}
	}
	s.of[id] = now
	s.add(now.pass, x)
}

func (s *sharer) sound(n *Note, id passKey, pass int) {
	o := openNote{n.End, n.Superseded, n.Part, s.voiceKey(n.Part, id), pass, s.groupOf[n.Part], s.voices(n.Part)}
	s.open = append(s.open, o)
	s.room[pass][o.group] -= o.voices
}

// voiceKey is what notes of a part have in common that follow each other on a
// voice.
func (s *sharer) voiceKey(part int, id passKey) passKey {
	if s.cfg.Parts[part].Mode != alloc.Poly {
		return passKey{}
	}
	return id
}

// close takes the notes away that have ended, and those that new ones follow.
func (s *sharer) close(now time.Duration, notes []Note, id passKey) {
	follows := func(o *openNote) bool {
		return slices.ContainsFunc(notes, func(n Note) bool {
			return n.Part == o.part && s.voiceKey(n.Part, id) == o.key
		})
	}
	left := s.open[:0]
	for _, o := range s.open {
		if o.end > now || o.superseded && !follows(&o) {
			left = append(left, o)
			continue
		}
		s.room[o.pass][o.group] += o.voices
	}
	s.open = left
}

// notesOf returns the notes that the parts make of a note-on: those that
// follow in the reference, a higher part each.
func (s *sharer) notesOf(x *midi.Step) []Note {
	first := s.next
	for part := -1; s.next < len(s.ref.Notes); s.next++ {
		n := &s.ref.Notes[s.next]
		if n.Part <= part || n.Start != x.At || n.Port != x.Port || n.Channel != x.Channel || n.Key != x.Key || n.Velocity != uint8(x.Value) {
			break
		}
		part = n.Part
	}
	return s.ref.Notes[first:s.next]
}

// voices is how many voices a note of a part cannot do without.
func (s *sharer) voices(part int) int {
	u := &s.cfg.Parts[part].Unison
	if u.WhenShort == alloc.Blocks || u.WhenShort == alloc.Wait {
		return max(1, u.Voices)
	}
	return 1
}

// choose finds the pass for notes that begin together.
func (s *sharer) choose(notes []Note) int {
	first := notes[0].Part
	if s.last[first] >= 0 && (s.cfg.Parts[first].Mode != alloc.Poly || s.left(s.last[first], notes) >= 0) {
		return s.last[first]
	}
	best := 0
	for pass := range s.passes {
		if s.left(pass, notes) > s.left(best, notes) {
			best = pass
		}
	}
	return best
}

// left is how many voices a pass would have left, at worst, with these notes
// besides; below 0 if there are too few.
func (s *sharer) left(pass int, notes []Note) int {
	least := int(^uint(0) >> 1)
	for i := range notes {
		g := s.groupOf[notes[i].Part]
		left := s.room[pass][g]
		for j := range notes {
			if s.groupOf[notes[j].Part] == g {
				left -= s.voices(notes[j].Part)
			}
		}
		least = min(least, left)
	}
	return least
}
