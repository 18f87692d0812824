package deal

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"choirloft/midi"
)

// Split says into how many files a pass is written.
type Split uint8

// The ways to split.
const (
	Whole  Split = iota
	ByBank       // one file per bank, with the macros that move something of it
	ByPort       // one file per port
)

// File is one file to write.
type File struct {
	Suffix string // of its name, such as "pass-1-A"; empty where there is one file
	Pass   int    // from 1
	Bank   int    // index into Rig.Banks; −1 where it is not one file per bank
	Port   int    // in the file, from 1; 0 where it is not one file per port
	Score  midi.Score
	Notes  int
	Voices int // that have a track
}

// Files returns the files of a deal, by pass, then by bank or port. Banks and
// ports without a voice in service have none.
func (d *Deal) Files(split Split) []File {
	var files []File
	for i := range d.Passes {
		pass := &d.Passes[i]
		for _, f := range d.groups(pass, split) {
			f.Pass = i + 1
			if len(d.Passes) > 1 {
				f.Suffix = strings.TrimSuffix(fmt.Sprintf("pass-%d-%s", i+1, f.Suffix), "-")
			}
			d.fill(&f, pass)
			files = append(files, f)
		}
	}
	return files
}

// groups returns what files a pass has, without what is in them.
func (d *Deal) groups(p *Pass, split Split) []File {
	whole := File{Bank: -1}
	if split == Whole {
		return []File{whole}
	}
	var files []File
	seen := map[int]bool{}
	for i := range p.Lanes {
		f := whole
		l := &p.Lanes[i]
		at := int(l.Home.Port)
		if split == ByBank {
			at = d.Plan.Rig.Voices[l.Voice].Bank
			f.Bank, f.Suffix = at, d.Plan.Rig.Banks[at].Name
		} else {
			f.Port, f.Suffix = at+1, "port-"+l.Home.Port.String()
		}
		if !seen[at] {
			seen[at] = true
			files = append(files, f)
		}
	}
	slices.SortStableFunc(files, func(a, b File) int { return cmp.Or(a.Bank-b.Bank, a.Port-b.Port) })
	return files
}

// fill writes the tracks of a file.
func (d *Deal) fill(f *File, p *Pass) {
	f.Score = midi.Score{Name: d.title(), Texts: []string{d.text()}, Tempo: d.Tempo, Meter: d.Meter, End: d.End()}
	for i := range p.Controls {
		c := &p.Controls[i]
		if f.Bank < 0 || slices.Contains(c.Banks, f.Bank) {
			d.track(f, c.Name, c.Home, c.Events)
		}
	}
	for i := range p.Lanes {
		l := &p.Lanes[i]
		if f.Bank >= 0 && d.Plan.Rig.Voices[l.Voice].Bank != f.Bank || f.Port > 0 && int(l.Home.Port)+1 != f.Port {
			continue
		}
		f.Voices++
		f.Notes += len(l.Notes)
		d.track(f, d.Plan.Rig.Voices[l.Voice].Name, l.Home, l.Events(d.BendRange))
	}
}

// track adds a track to a file, unless that is for another port.
func (d *Deal) track(f *File, name string, home Home, events []midi.Event) {
	if f.Port == 0 || int(home.Port)+1 == f.Port {
		f.Score.Tracks = append(f.Score.Tracks, midi.ScoreTrack{Name: name, Device: home.Device, Port: home.Port, Events: events})
	}
}

// title is the song's own name, as its first track has it.
func (d *Deal) title() string {
	if len(d.Song.Tracks) > 0 {
		return d.Song.Tracks[0].Name
	}
	return ""
}
