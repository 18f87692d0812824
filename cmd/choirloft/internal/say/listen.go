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
	d.Add(doc.Answer{Text: l.summary()}, cautionFor(&v.SoundFile), doc.Sentences(l.hiddenLine(), sketchLine, l.gainLine(), l.assumedLine(), l.elasticLine(), rf64Line(l.RF64)))
	if len(v.Sections) > 1 {
		most := room.of(12, 200)
		d.Under("What plays in what order", l.sections(most), doc.Sentences(furtherSections(len(v.Sections)-most)))
	}
	if v.Heard != nil && !l.only(asked) {
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
	switch {
	case slices.ContainsFunc(l.Sections, func(s contract.ListenSection) bool { return s.AtS != l.Sections[0].AtS }):
		what = "moment by moment"
	case len(l.Sections) == 3:
		what = "as asked, as played, then what is missing"
	case len(l.Sections) == 2:
		what = "as asked, then as played"
	case l.only(missing):
		what = "only what is missing"
	}
	if l.Part != nil {
		what += ", part " + *l.Part + " alone"
	}
	return fmt.Sprintf("%s: %s, %s; %s of stereo sound, 24 bit.", l.File, songName(&l.Song), what, unit.Length(l.LengthS))
}

// Versions: missing is what asked has and played lacks.
const (
	asked   = "asked"
	missing = "missing"
)

// only tells whether all that stands there is in one version.
func (l listening) only(version string) bool {
	return !slices.ContainsFunc(l.Sections, func(s contract.ListenSection) bool { return s.Version != version })
}

// hiddenLine says what a file of what is missing holds where nobody would miss it.
func (l listening) hiddenLine() string {
	if l.Heard == nil || !l.only(missing) || len(l.heardThere()) > 0 {
		return ""
	}
	var cut, wrong int
	for i := range l.Losses {
		switch x := &l.Losses[i]; {
		case !l.there(x):
		case x.WrongPitch():
			wrong++
		default:
			cut++
		}
	}
	line := "No note loses anything there, so the file is silent or nearly so."
	if cut > 0 {
		line = fmt.Sprintf("This is what the song hides, such as tails that nobody misses. In the song you would hear none of %s.", losses(cut))
	}
	if wrong > 0 {
		line += " But you would hear " + unit.Count(wrong, "note") + " at the wrong pitch" + ": here such a note sounds twice, as asked and as played."
	}
	return line
}

// there tells whether a loss lies in what was written.
func (l listening) there(x *contract.Loss) bool {
	return slices.ContainsFunc(l.Sections, func(s contract.ListenSection) bool { return x.AtS >= s.AtS && x.AtS < s.AtS+s.LengthS })
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
	return fmt.Sprintf("One gain holds for every version and excerpt. The song peaks at %s as asked, %s as played.", peak(l.AskedPeakDB), peak(l.PlayedPeakDB))
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
	var kinds []string
	of := map[string][]string{} // by kind of voice
	note := func(kind, what string) {
		if of[kind] == nil {
			kinds = append(kinds, kind)
		}
		of[kind] = append(of[kind], what)
	}
	for _, key := range keys {
		if path, ofKind := strings.CutPrefix(key, "voices."); ofKind {
			at := strings.Index(path, ".sound.")
			note(path[:at], soundWords[path[at+len(".sound."):]])
		}
	}
	for _, kind := range drifts {
		note(kind, "drift")
	}
	lines := make([]string, len(kinds))
	for i, kind := range kinds {
		lines[i] = "The rig does not say " + unit.List(of[kind]) + " of " + kind + " voices, so they are assumed."
	}
	return strings.Join(lines, " ")
}

// soundWords are what the keys under sound of a kind of voice set.
var soundWords = map[string]string{"wave": "wave", "cutoff": "cutoff", "track": "key tracking"}

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
	places := l.heardThere()
	most := room.of(8, 400)
	all := len(places)
	if all > most {
		slices.SortStableFunc(places, func(a, b int) int { return l.heardAt(b) - l.heardAt(a) })
		places = places[:most]
		slices.Sort(places)
	}
	ofPart := ""
	if l.Part != nil {
		ofPart = " of " + *l.Part
	}
	if all == 0 {
		return []doc.Block{doc.Paragraph{Text: "You would hear no loss" + ofPart + " there."}}
	}
	line := "You would hear " + losses(all) + ofPart + " there."
	if all > most {
		line += fmt.Sprintf(" These %d are heard most.", most)
	}
	return []doc.Block{doc.Paragraph{Text: line}, lossTable(l.Losses, places)}
}

// heardThere are the losses that the moments of the sections name, but for those that
// begin behind the section, as a moment lasts a little longer on either side.
func (l listening) heardThere() (places []int) {
	for i := range l.Sections {
		s := &l.Sections[i]
		for _, m := range s.Moments {
			for _, place := range l.Heard.Moments[m].Losses {
				if l.Losses[place].AtS < s.AtS+s.LengthS {
					places = append(places, place)
				}
			}
		}
	}
	slices.Sort(places)
	return slices.Compact(places)
}

// heardAt is how much is heard of a loss, in tenths of a dB.
func (l listening) heardAt(place int) int {
	if h := l.Losses[place].HeardOne; h != nil && h.HeardDB != nil {
		return int(*h.HeardDB*10 + 0.5)
	}
	return 0
}
