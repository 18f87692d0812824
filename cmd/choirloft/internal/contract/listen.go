package contract

import (
	"math"
	"time"

	"choirloft/midi"
	"choirloft/routing/listen"
	"choirloft/routing/plan"
)

// Listen is a song as sound.
type Listen struct {
	Version     int    `json:"version"`
	Rig         string `json:"rig"`
	Fingerprint string `json:"fingerprint"`
	Summary     string `json:"summary"`
	Song        Song   `json:"song"`
	SoundFile
	Part *string `json:"part"` // null for all
	// AskedPeakDB and PlayedPeakDB are those of the whole song, in dB of full scale:
	// one gain brings the louder to peak_db. Null for silence.
	PeakDB       float64  `json:"peak_db"`
	AskedPeakDB  *float64 `json:"asked_peak_db"`
	PlayedPeakDB *float64 `json:"played_peak_db"`
	// Sections are what follows each other in the file, silence between them left out.
	Sections []ListenSection `json:"sections"`
	// Heard, of the whole song or of all of the part, is null where the budget was not
	// enough; Losses are those that its moments name, among all of the song or the part.
	Heard  *Heard `json:"heard"`
	Losses []Loss `json:"losses"`
	// Hearing is what is assumed, beside the drift of kinds that no file says.
	Hearing      *Hearing  `json:"hearing"`
	AssumedDrift []string  `json:"assumed_drift"` // kinds of voice
	Elastic      bool      `json:"elastic"`       // notes that share voices sound as one voice each
	Findings     []Finding `json:"findings"`
	MiddleC      int       `json:"middle_c"` // the octave of key 60
}

// SoundFile is a file of sound, with the text beside it.
type SoundFile struct {
	Caution string  `json:"caution"`
	File    string  `json:"file"`
	Sheet   string  `json:"sheet"` // the text beside it
	Bytes   int64   `json:"bytes"`
	RF64    bool    `json:"rf64"`
	Rate    int     `json:"frames_per_s"`
	Frames  int64   `json:"frames"`
	LengthS float64 `json:"length_s"`
}

// ListenSection is a stretch of the song in one version.
type ListenSection struct {
	FileS   float64 `json:"file_s"` // where it begins in the file
	Version string  `json:"version"`
	AtS     float64 `json:"at_s"` // in the song
	LengthS float64 `json:"length_s"`
	// Bar and Beat, from 1, are those of the first loss that is heard there, or where
	// it begins if none is.
	Bar     int     `json:"bar"`
	Beat    float64 `json:"beat"`
	Moments []int   `json:"moments"` // indexes into heard.moments: those that it holds
}

// NewSoundFile returns what is to be said of a file.
func NewSoundFile(t *listen.Take, file, sheet string) SoundFile {
	f := t.File()
	return SoundFile{Caution: listen.Caution, File: file, Sheet: sheet, Bytes: f.Bytes(), RF64: f.Large(), Rate: f.Rate, Frames: f.Frames,
		LengthS: float64(f.Frames) / float64(f.Rate)}
}

// NewListen returns the report of a song made audible. Heard is nil where nobody
// listened, and of the part where the take is of one.
func NewListen(p *plan.Plan, s *listen.Sketch, song *midi.Song, name string, t *listen.Take, peaks listen.Peaks, heard *plan.Listened, file SoundFile) *Listen {
	r := NewResult(p, name, song, s.Replay)
	r.Hear(p, song, s.Replay, heard)
	out := &Listen{Version: Version, Rig: p.Rig.Name, Fingerprint: p.Code(), Song: r.Song, SoundFile: file,
		PeakDB: listen.PeakDB, AskedPeakDB: peakDB(peaks.Asked, t.Gain), PlayedPeakDB: peakDB(peaks.Played, t.Gain),
		Sections: []ListenSection{}, Heard: r.Heard, Losses: []Loss{}, Hearing: newHearing(s.Given()), AssumedDrift: assumedDrift(p), Elastic: s.Elastic,
		Findings: newFindings(p.Findings), MiddleC: int(p.Rig.MiddleC)}
	if heard != nil {
		out.Losses = r.Losses
	}
	if t.Part >= 0 {
		out.ofPart(p.Rig.Parts[t.Part].Name)
	}
	at := int64(0)
	for _, x := range t.Sections {
		if !x.Silence {
			out.Sections = append(out.Sections, out.section(song, x, at))
		}
		at += x.To - x.From
	}
	return out
}

// ofPart keeps the losses of a part.
func (l *Listen) ofPart(name string) {
	l.Part = &name
	if l.Heard == nil {
		return
	}
	kept, at := []Loss{}, map[int]int{}
	var wrong HeardOf
	for i := range l.Losses {
		x := &l.Losses[i]
		if x.Part != name {
			continue
		}
		at[i], kept = len(kept), append(kept, *x)
		if x.WrongPitch() && x.HeardDB != nil {
			wrong.Faint++
			if x.Plain() {
				wrong.Plain++
			}
		}
	}
	among := func(places []int) []int {
		list := []int{}
		for _, i := range places {
			if to, its := at[i]; its {
				list = append(list, to)
			}
		}
		return list
	}
	for i := range l.Heard.Moments {
		l.Heard.Moments[i].Losses = among(l.Heard.Moments[i].Losses)
	}
	l.Losses, l.Heard.Order, l.Heard.WrongPitch = kept, among(l.Heard.Order), wrong
}

// peakDB is a level to 0.1 dB; nil for silence.
func peakDB(peak int64, gain float64) *float64 {
	return level(math.Round(10*listen.DB(peak, gain)) / 10)
}

func (l *Listen) section(song *midi.Song, x listen.Section, at int64) ListenSection {
	secs := func(frames int64) float64 { return float64(frames) / listen.Rate }
	out := ListenSection{FileS: secs(at), Version: x.Version.String(), AtS: secs(x.From), LengthS: secs(x.To - x.From), Moments: []int{}}
	out.Bar, out.Beat = song.Meter.Beat(song.Tempo.Tick(time.Duration(math.Round(out.AtS * 1e9))))
	if l.Heard == nil {
		return out
	}
	for i := range l.Heard.Moments {
		if m := &l.Heard.Moments[i]; m.AtS < out.AtS+out.LengthS && m.AtS+m.LengthS > out.AtS {
			if out.Moments = append(out.Moments, i); len(out.Moments) == 1 && len(m.Losses) > 0 {
				first := &l.Losses[m.Losses[0]]
				out.Bar, out.Beat = first.BarNumber, first.Beat
			}
		}
	}
	return out
}

// assumedDrift names the kinds of voice in use whose drift no file says.
func assumedDrift(p *plan.Plan) []string {
	list := []string{}
	seen := map[int]bool{}
	for _, b := range p.Rig.Banks {
		kind := &p.Rig.Kinds[b.Kind]
		if _, given := p.Rig.Given("voices." + kind.Name + ".drift"); !given && !seen[b.Kind] {
			list = append(list, kind.Name)
		}
		seen[b.Kind] = true
	}
	return list
}
