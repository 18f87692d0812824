package contract

import (
	"slices"

	"choirloft/alloc"
	"choirloft/alloc/study"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/plan"
	"choirloft/routing/reach"
)

// NewReplay returns the report of one song.
func NewReplay(p *plan.Plan, r *Result) *Replay {
	return &Replay{Version: Version, Rig: p.Rig.Name, Fingerprint: p.Code(), Result: *r, Findings: newFindings(p.Findings), MiddleC: int(p.Rig.MiddleC)}
}

// NewResult returns what a replay says about the song that was read from
// file.
func NewResult(p *plan.Plan, file string, song *midi.Song, r *study.Replay) *Result {
	b := newBuilder(p, song, r)
	out := &Result{
		Song:   newSong(song, file, r.Rig.Tally.Notes, seconds(r.Reference.End)),
		Totals: b.totals(&r.Rig, everyPart),
		Parts:  b.parts(),
		Losses: b.losses(),
		Marks:  b.marks(),
		Voices: b.voices(),

		WrongPitch: wrongPitch(p, b.reach, r), MonoChords: monoChords(p, r), NoJack: p.WithoutJack(), OldReadings: oldReadings(p), RestsOn: playedBasis(p, r),
	}
	out.RestsOn.spareKeys(b.reach)
	out.UnmappedFrom, out.UnmappedKeys = unmapped(r.Performance.Steps, b.cfg.Parts)
	out.Banks, out.RunsOut = b.banks(out.Voices), runsOut(out.Parts, out.Demand.Voices)
	out.Bars, out.LostByBar = b.bars(), byBar(out.Losses)
	return out
}

// builder holds what a result is made from.
type builder struct {
	rig     *profiles.Rig
	cfg     *alloc.Config
	song    *midi.Song
	replay  *study.Replay
	reach   []reach.Range // by part
	seconds float64
	names   map[int]string // of keys
}

func newBuilder(p *plan.Plan, song *midi.Song, r *study.Replay) *builder {
	return &builder{rig: p.Rig, cfg: &p.Rules.Config, song: song, replay: r, reach: p.Mended(song, r),
		seconds: seconds(r.Reference.End), names: map[int]string{}}
}

// everyPart stands for the whole rig where a part is asked for.
const everyPart = -1

func newSong(song *midi.Song, file string, notes int, secs float64) Song {
	w := song.Warnings
	s := Song{
		File:          file,
		Title:         title(song),
		Notes:         notes,
		Seconds:       secs,
		Format:        song.Format,
		Warnings:      make([]Warning, len(w.List)),
		WarningsTotal: w.Total,
		CutOff:        w.CutOff,
	}
	for i, x := range w.List {
		s.Warnings[i] = Warning(x)
	}
	return s
}

// title returns the name of a song of format 1, which is that of its first
// track if no notes are on it (RP-001, "Sequence/Track Name").
func title(song *midi.Song) *string {
	if song.Format != 1 || len(song.Tracks) < 2 || song.Tracks[0].Name == "" || song.Tracks[0].Events > 0 {
		return nil
	}
	return &song.Tracks[0].Name
}

// totals returns the figures of a part, or of every part.
func (b *builder) totals(s *study.Summary, part int) Totals {
	t := &s.Tally
	out := Totals{
		Demand:    newDemand(s.Demand, s.Voices),
		Bound:     Bound{seconds(s.Bound.Unavoidable), s.Bound.FewestDamaged, b.relaxed(part), b.apart(part)},
		Damaged:   t.Damaged(),
		Endings:   Endings(t.Endings),
		LostGateS: seconds(t.Lost),
		Flags: Flags{Thinned: t.Thinned, Late: t.Late, Clamped: t.Clamped, Swallowed: t.Swallowed,
			Orphan: t.Orphan, Stuck: t.Stuck, ZeroLength: t.Zero, Unmapped: t.Unmapped, Repitched: t.Repitched, TooLong: t.TooLong},
		LoudestCutDB: level(t.Loudest()),
	}
	for i := range b.replay.Outcomes {
		if part != everyPart && b.replay.Reference.Notes[i].Part != part {
			continue
		}
		o := &b.replay.Outcomes[i]
		out.LatestS = max(out.LatestS, seconds(o.Late))
		if o.Waited > 0 {
			out.Waited, out.LongestWaitS = out.Waited+1, max(out.LongestWaitS, seconds(o.Waited))
			out.WaitedS += seconds(o.Waited)
		} else {
			out.LatestGapS = max(out.LatestGapS, seconds(o.Late))
		}
	}
	return out
}

func newDemand(d study.Demand, voices int) Demand {
	return Demand{Held: d.Held, Pedal: d.Pedal, Audible: d.Audible, Voices: voices}
}

// relaxed tells whether the bound of a part, or of every part, leaves limits of
// single voices or parts aside.
func (b *builder) relaxed(part int) bool {
	for i := range b.cfg.Parts {
		if part != everyPart && part != i {
			continue
		}
		p := &b.cfg.Parts[i]
		for _, v := range b.cfg.Voices {
			if v.State == alloc.Limited && slices.Contains(p.Banks, v.Bank) {
				return true
			}
		}
		for j := range b.cfg.Parts[:i] {
			if part == everyPart && partly(p.Banks, b.cfg.Parts[j].Banks) {
				return true
			}
		}
	}
	return false
}

// apart tells whether a part, or some part, does without a bank of the rack.
func (b *builder) apart(part int) bool {
	for _, v := range b.cfg.Voices {
		for i := range b.cfg.Parts {
			if (part == everyPart || part == i) && v.State.InService() && !slices.Contains(b.cfg.Parts[i].Banks, v.Bank) {
				return true
			}
		}
	}
	return false
}

// partly tells whether two lists of banks share some but not all.
func partly(x, y []int) bool {
	shared := slices.ContainsFunc(x, func(bank int) bool { return slices.Contains(y, bank) })
	return shared && !slices.Equal(x, y)
}

func (b *builder) parts() []Part {
	parts := make([]Part, len(b.cfg.Parts))
	for i := range parts {
		c, s := &b.cfg.Parts[i], &b.replay.Parts[i]
		parts[i] = b.part(i, c, s)
	}
	return parts
}

func (b *builder) part(i int, c *alloc.Part, s *study.Summary) Part {
	from := &b.rig.Parts[i]
	out := Part{
		Name: c.Name, Pick: pickName(c), Steal: stealName(c), Tails: "known", SameKey: c.SameKey.String(),
		ClassOrder: !c.MixClasses, Mode: from.Mode.String(), Reattack: from.Reattack.String(), Reserve: c.Reserve, Priority: c.Priority,
		Unison: PartUnison{max(1, c.Unison.Voices), from.Unison.Short.String()},
		Voices: s.Voices, Notes: s.Tally.Notes, Totals: b.totals(s, i), Range: newRange(b.rig, &b.reach[i]),
	}
	if c.TailsUnknown {
		out.Tails = "unknown"
	}
	if c.Limit > 0 {
		out.Limit = &c.Limit
	}
	out.Banks = bankNames(b.rig, c.Banks)
	return out
}

func bankNames(rig *profiles.Rig, banks []int) (names []string) {
	for _, b := range banks {
		names = append(names, rig.Banks[b].Name)
	}
	return names
}

// pickName names a picking rule as a rig would.
func pickName(p *alloc.Part) string {
	if p.Pick == alloc.PickSameKey {
		return p.Pick.String() + " then " + p.Second.String()
	}
	return p.Pick.String()
}

func stealName(p *alloc.Part) string { return p.Steal.String() }

// place returns the bar of a note, and its part and key.
func (b *builder) place(n *study.Note) (bar, part, key string) {
	return b.song.Meter.Position(n.Tick).String(), b.cfg.Parts[n.Part].Name, b.keyName(n.Sounding)
}

func (b *builder) keyName(key int) string {
	name, ok := b.names[key]
	if !ok {
		name = KeyName(key, int(b.rig.MiddleC))
		b.names[key] = name
	}
	return name
}
