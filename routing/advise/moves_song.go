package advise

import (
	"slices"
	"strconv"
	"time"

	"choirloft/alloc"
	"choirloft/routing/plan"
	"choirloft/routing/whatif"
)

// releaseShares are the shares of a release that are tried, in hundredths.
var releaseShares = []int{80, 60, 40, 25}

func (f *finder) releases(part int, p *alloc.Part) {
	longest := time.Duration(0)
	for _, v := range f.plan.Rules.Config.Voices {
		longest = max(longest, v.Envelope.Release)
	}
	var values []value
	for _, share := range releaseShares {
		if d := (longest * time.Duration(share) / 100).Round(10 * time.Millisecond); d > 0 {
			values = append(values, value{text: plan.TypedTime(d), effort: Sound})
		}
	}
	f.each("--release", part, "", values...)
}

// transpositions bring the notes of parts into range: by the octaves that fit them all, else by
// one up or down.
func (f *finder) transpositions() {
	before := len(f.moves)
	for i := range f.parts {
		now := f.plan.Rules.Config.Parts[i].Transpose
		var values []value
		for _, octaves := range f.octaves(i) {
			if to := now + 12*octaves; -48 <= to && to <= 48 {
				values = append(values, value{text: strconv.Itoa(to), effort: Playing})
			}
		}
		f.each(transposeFlag, i, strconv.Itoa(now), values...)
	}
	f.shifts = f.moves[before:]
}

// zeroKeys are the keys at 0 V with which all that is played on an interface is in range, where
// it is not now: of all parts there, in one of the songs. One that puts other notes out of range is none.
func (f *finder) zeroKeys() {
	before := len(f.moves)
	for at := range f.plan.Rig.Interfaces {
		var values []value
		for _, s := range f.songs {
			for _, r := range s.Mended() {
				if to := r.ZeroKey; to != nil && to.Interface == at && !slices.Contains(values, value{text: strconv.Itoa(to.Key)}) {
					values = append(values, value{text: strconv.Itoa(to.Key)})
				}
			}
		}
		f.each(zeroKeyFlag, at, strconv.Itoa(f.plan.Rig.Interfaces[at].ZeroKey), values...)
	}
	f.shifts = append(f.shifts[:len(f.shifts):len(f.shifts)], f.moves[before:]...)
}

// outOfRange tells whether any part leaves its range.
func (f *finder) outOfRange() bool {
	return slices.ContainsFunc(f.songs, func(s *whatif.Session) bool { return s.Before().Rig.Tally.Missed > 0 })
}

// octaves are those by which a part that leaves its range may be moved.
func (f *finder) octaves(part int) (list []int) {
	for _, s := range f.songs {
		for i, r := range s.Reach() {
			switch {
			case f.plan.Origin[i] != part || r.Missed == 0:
			case r.Octaves == nil:
				list = append(list, 1, -1)
			case *r.Octaves != 0:
				list = append(list, *r.Octaves)
			}
		}
	}
	slices.Sort(list)
	return slices.Compact(list)
}

// lifts are by how much a pedal is let up earlier.
var lifts = []time.Duration{100 * time.Millisecond, 250 * time.Millisecond, 500 * time.Millisecond, time.Second}

// shortenings are by how much notes end earlier.
var shortenings = []time.Duration{50 * time.Millisecond, 100 * time.Millisecond, 250 * time.Millisecond}

// edit is a kind of change of what a part is given to play.
type edit struct {
	flag   string
	values []string
}

func (f *finder) edits() []edit {
	var times, shorter []string
	for _, d := range lifts {
		times = append(times, sooner(d)...)
	}
	for _, d := range shortenings {
		shorter = append(shorter, sooner(d)...)
	}
	return []edit{{"--trim", sooner(f.plan.Rules.Overlap)}, {"--lift", times}, {"--shorten", shorter}, {"--doubles", []string{"drop"}}}
}

// sooner is a time as an edit has it, only where voices are short, and everywhere.
func sooner(d time.Duration) []string {
	return []string{plan.Sooner{By: d, WhenShort: true}.String(), plan.TypedTime(d)}
}

// edit adds one for a part, where it changes any of the songs.
func (f *finder) edit(part int, p *alloc.Part, e edit) {
	if !f.wanted(e.flag) {
		return
	}
	var values []value
	none := f.work(plan.Overrides{}) > f.left // will be played, so that it need not be known which change anything
	for _, text := range e.values {
		o := plan.MustParse(e.flag, p.Name+"="+text)
		if none || slices.ContainsFunc(f.songs, func(s *whatif.Session) bool { return s.Edits(o) }) {
			values = append(values, value{text: text, effort: Playing})
		}
	}
	f.each(e.flag, part, "", values...)
}
