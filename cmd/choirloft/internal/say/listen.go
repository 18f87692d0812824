package say

import (
	"fmt"
	"slices"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/profiles/unit"
)

// Listen says what stands in a file of sound, the caution first, and what of it is
// assumed. It also lies beside the file.
func Listen(v *contract.Listen, room Room) *doc.Doc {
	l := listening{v}
	d := newDoc(SongLabel(&v.Song)+" on "+v.Rig+", as sound", v.Fingerprint)
	d.Add(doc.Answer{Text: l.summary()}, cautionFor(&v.SoundFile), doc.Sentences(sketchLine, l.gainLine(), l.assumedLine(), l.elasticLine(), rf64Line(l.RF64)))
	if len(v.Sections) > 1 || v.Heard != nil {
		most := room.of(12, 200)
		d.Under("What follows what", l.sections(most), doc.Sentences(furtherSections(len(v.Sections)-most)))
	}
	if v.Heard != nil {
		d.Under("What goes missing", l.losses(room)...)
	}
	return d
}

// sketchLine says what such a file is.
const sketchLine = "It is a sketch of envelopes, detune and losses, not the sound of anybody's voices."

// cautionFor is the caution of a file of sound.
func cautionFor(f *contract.SoundFile) doc.Answer {
	return doc.Answer{Text: "Caution: " + f.Caution + ".", Tone: doc.Fair}
}

// listening puts a song as sound into words.
type listening struct{ *contract.Listen }

// summary says what stands in the file.
func (l listening) summary() string {
	what := "as " + l.Sections[0].Version
	if l.several() {
		what = "moment by moment"
	} else if l.Sections[0].Version == missing {
		what = "only what is missing"
	}
	if l.Part != nil {
		what += ", part " + *l.Part + " alone"
	}
	return fmt.Sprintf("%s: %s, %s; %s of stereo sound, 24 bit.", l.File, songName(&l.Song), what, unit.Length(l.LengthS))
}

// missing is the version that is the difference of the others.
const missing = "missing"

// several tells whether versions follow each other.
func (l listening) several() bool {
	return slices.ContainsFunc(l.Sections, func(s contract.ListenSection) bool { return s.Version != l.Sections[0].Version }) || len(l.Sections) > 1
}

// gainLine says how loud it is.
func (l listening) gainLine() string {
	if l.AskedPeakDB == nil && l.PlayedPeakDB == nil {
		return "Nothing of the song sounds."
	}
	peak := func(db *float64) string {
		if db == nil {
			return "silent"
		}
		return unit.Tenths(*db) + " dB"
	}
	return fmt.Sprintf("One gain holds for every version and excerpt: the peak of the song is %s as asked, %s as played.", peak(l.AskedPeakDB), peak(l.PlayedPeakDB))
}

// assumedLine says what no file says.
func (l listening) assumedLine() string {
	if len(l.Hearing.Assumed)+len(l.AssumedDrift) == 0 {
		return ""
	}
	return assumedSound(l.Hearing.Assumed, l.AssumedDrift)
}

// assumedSound says which keys of a rig are assumed of how voices sound.
func assumedSound(keys, drifts []string) string {
	keys = slices.Clone(keys)
	keys = slices.DeleteFunc(keys, func(k string) bool { return k == "hearing.level" })
	for _, kind := range drifts {
		keys = append(keys, "voices."+kind+".drift")
	}
	return "Assumed, since the rig does not say: " + strings.Join(keys, ", ") + "."
}

// elasticLine says what is left out of unisons that share their voices.
func (l listening) elasticLine() string {
	if !l.Elastic {
		return ""
	}
	return "Notes of elastic unisons sound as one voice each, without beats."
}

// sections is a row for each stretch.
func (l listening) sections(most int) doc.Table {
	t := doc.Table{Columns: []doc.Column{number("in the file"), words("version"), words("first loss there"), number("lasts"), number("difference")}}
	for i := range l.Sections[:min(most, len(l.Sections))] {
		s := &l.Sections[i]
		t.Row("", unit.Clock(s.FileS), s.Version, unit.Beat(s.Bar, s.Beat), unit.Clock(s.LengthS), l.difference(s))
	}
	return t.WithoutEmpty(unit.None)
}

// difference is the largest of the moments in a section.
func (l listening) difference(s *contract.ListenSection) string {
	if len(s.Moments) == 0 {
		return unit.None
	}
	most := 0.0
	for _, m := range s.Moments {
		most = max(most, l.Heard.Moments[m].DB)
	}
	return unit.Tenths(most)
}

func furtherSections(n int) string {
	if n <= 0 {
		return ""
	}
	return unit.Count(n, "further row") + " stand in the text beside the file."
}

// losses lists what the moments of the sections miss, the worst first where there is
// no room for all, else in the order of the song.
func (l listening) losses(room Room) []doc.Block {
	var places []int
	for i := range l.Sections {
		for _, m := range l.Sections[i].Moments {
			places = append(places, l.Heard.Moments[m].Losses...)
		}
	}
	slices.Sort(places)
	places = slices.Compact(places)
	most := room.of(8, 400)
	all := len(places)
	if all > most {
		slices.SortStableFunc(places, func(a, b int) int { return l.heardAt(b) - l.heardAt(a) })
		places = places[:most]
		slices.Sort(places)
	}
	line := fmt.Sprintf("You would hear %d losses in what stands there.", all)
	if all == 1 {
		line = "You would hear 1 loss in what stands there."
	}
	if all > most {
		line += fmt.Sprintf(" These %d are heard most.", most)
	}
	return []doc.Block{doc.Paragraph{Text: line}, lossTable(l.Losses, places)}
}

// heardAt is how much is heard of a loss, in tenths of a dB.
func (l listening) heardAt(place int) int {
	if h := l.Losses[place].HeardOne; h != nil && h.HeardDB != nil {
		return int(*h.HeardDB*10 + 0.5)
	}
	return 0
}
