package contract

import (
	"slices"

	"choirloft/alloc"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/profiles/alter"
	"choirloft/routing"
	"choirloft/routing/plan"
)

// Bench is a song beside the parts that play it, and what these play on.
type Bench struct {
	MiddleC  int            // the octave of key 60
	Result   *Result        // of the song; nil without one
	Channels []BenchChannel // of the song
	Parts    []BenchPart
	Banks    []BenchBank
	Boxes    []BenchBox
	NoJack   []string // voices in service
}

// BenchChannel is what a song does on one channel, or in one zone.
type BenchChannel struct {
	Port    int      `json:"port"`    // as a deed has it: from 1, or 0 where all of the song comes in on the first
	Channel int      `json:"channel"` // from 1; of a zone its manager
	Zone    string   `json:"zone"`    // as a deed has it; empty for a channel
	Name    string   `json:"name"`    // of its track; may be empty
	Drums   bool     `json:"drums"`   // channel 10
	Parts   []string `json:"parts"`   // that listen to it

	Use ChannelUse `json:"-"`
}

// BenchPart is a part, and what it wants of its banks.
type BenchPart struct {
	Name      string        `json:"name"`
	Sources   []BenchSource `json:"sources"` // channels that it listens to; none where it has a zone
	Zone      string        `json:"zone"`    // empty for channels
	Banks     []string      `json:"banks"`
	AllBanks  bool          `json:"all_banks"` // the text names none
	Wanted    *int          `json:"wanted"`    // voices at the peak of the song; null without one
	There     int           `json:"there"`     // voices in service in its banks
	Notes     *int          `json:"notes"`     // of the song; null without one
	Mode      string        `json:"mode"`
	Unison    int           `json:"unison"`
	Transpose int           `json:"transpose"` // semitones

	// Chord is how many notes the song sounds at once on a channel of a mono part; 0 where it is no more than
	// one, without a song, and where the part has some of the keys alone, whose share of a channel is not known.
	Chord int `json:"-"`
	// For is the song on the desk for which it was proposed as mono; empty where the rig alone says so.
	For string `json:"-"`

	Wrong *WrongPitch `json:"-"`
	Fixes []BenchFix  `json:"-"`
}

// BenchSource is a channel of a port, or of every port, 0. Both count from 1.
type BenchSource struct {
	Port    int `json:"port"`
	Channel int `json:"channel"`
}

// BenchFix is what would mend something, as deeds.
type BenchFix struct {
	Octaves int    // up, or below 0 down
	Banks   int    // more, each of Voices
	Voices  int    // of a bank
	Profile string // of an interface; More tells that it is another one
	More    bool
	Chords  bool // by a part that is mono
	Deeds   []alter.Deed
}

// BenchBank is a bank, and who plays on it.
type BenchBank struct {
	Name   string   `json:"name"`
	Voices int      `json:"voices"`
	Kind   string   `json:"kind"`
	Parts  []string `json:"parts"`
}

// BenchBox is an interface, and what its jacks are for.
type BenchBox struct {
	Name    string `json:"name"`
	Profile string `json:"profile"` // empty where the rig names none

	Uses                  []BenchUse `json:"-"` // those of each input together, then macros
	CVs, Gates, Outputs   int        `json:"-"` // jacks that stay free
	Either                bool       `json:"-"` // all are outputs, for CVs and gates
	LowV, HighV           float64    `json:"-"`
	LowKey, HighKey       int        `json:"-"` // that its range reaches, where Reaches
	Reaches, RangeAssumed bool       `json:"-"`
	Fixes                 []BenchFix `json:"-"`
	// Ranges and ZeroKeys are what can be chosen for one of both while the other stays, in order. There are no
	// ZeroKeys where volts go by hertz.
	Ranges, ZeroKeys []BenchReach `json:"-"`
}

// BenchReach is a CV range, a key at 0 V, and the keys that these reach.
type BenchReach struct {
	LowV, HighV     float64
	ZeroKey         int
	LowKey, HighKey int // where Reaches
	Reaches, Now    bool
	Deed            alter.Deed
	Fits            bool // all that the song plays on the interface
}

// BenchUse is how many jacks of an interface are for one input.
type BenchUse struct {
	Input string // empty for macros
	Gate  bool   // by jacks for gates
	Jacks int
}

// NewBench lays a song, and what became of it, beside a plan; both are nil without a song. The words
// of the result are there already.
func NewBench(p *plan.Plan, song *Channels, played *Result) *Bench {
	b := &Bench{MiddleC: int(p.Rig.MiddleC), Result: played, NoJack: p.WithoutJack(), Channels: []BenchChannel{}}
	if song != nil {
		b.Channels = benchChannels(p, song)
	}
	for i := range p.Rig.Parts {
		b.Parts = append(b.Parts, benchPart(p, i, played))
		b.chord(&b.Parts[i], &p.Rig.Parts[i])
	}
	for i := range p.Rig.Banks {
		bank := BenchBank{p.Rig.Banks[i].Name, p.Rig.Banks[i].Size, p.Rig.Kinds[p.Rig.Banks[i].Kind].Name, []string{}}
		for _, part := range p.Rig.Parts {
			if slices.Contains(part.Banks, i) {
				bank.Parts = append(bank.Parts, part.Name)
			}
		}
		b.Banks = append(b.Banks, bank)
	}
	b.Boxes = []BenchBox{}
	for i := range p.Rig.Interfaces {
		b.Boxes = append(b.Boxes, benchBox(p, i, fitting(p.Rig.Interfaces[i].Name, played)))
	}
	if len(b.NoJack) > 0 && len(b.Boxes) > 0 {
		b.Boxes[0].Fixes = roomier(p)
	}
	return b
}

// chord says how many notes at once a mono part leaves one of, and what would play all.
func (b *Bench) chord(part *BenchPart, from *profiles.Part) {
	if from.Mode == profiles.Poly || from.Keys.Low > 0 || from.Keys.High < 127 {
		return
	}
	for _, c := range b.Channels {
		if slices.Contains(c.Parts, part.Name) && c.Use.Pedal > 1 {
			part.Chord = max(part.Chord, c.Use.Pedal)
		}
	}
	if part.Chord > 0 {
		part.Fixes = append(part.Fixes, BenchFix{Chords: true, Deeds: []alter.Deed{{Do: "mode", Part: part.Name, Mode: profiles.Poly.String()}}})
	}
}

// Proposed says which mono parts were proposed so for another song on the desk.
func (b *Bench) Proposed(song *Channels) {
	for i := range b.Parts {
		part := &b.Parts[i]
		if part.Mode == profiles.MonoLast.String() && slices.ContainsFunc(song.Lines, func(l SongLine) bool { return l.Part == part.Name && l.Single }) {
			part.For = song.Song
		}
	}
}

func benchChannels(p *plan.Plan, song *Channels) (all []BenchChannel) {
	one := !slices.ContainsFunc(song.Channels, func(u ChannelUse) bool { return u.At.Port > 0 })
	zones := midi.NewZones(alloc.ZonesOf(p.Rules.Config.Parts))
	for _, u := range song.Channels {
		c := BenchChannel{Port: int(u.At.Port) + 1, Channel: int(u.At.Channel) + 1, Name: u.Name, Drums: u.LeftOut, Parts: []string{}, Use: u}
		if one {
			c.Port = 0
		}
		if u.Zone != nil {
			c.Zone = *u.Zone
		}
		for i := range p.Rules.Config.Parts {
			if part := &p.Rules.Config.Parts[i]; i < len(p.Rig.Parts) && part.Hears(u.At.Port, u.At.Channel, zones.On(u.At.Port)) {
				c.Parts = append(c.Parts, part.Name)
			}
		}
		all = append(all, c)
	}
	return all
}

func benchPart(p *plan.Plan, i int, played *Result) BenchPart {
	from := &p.Rig.Parts[i]
	b := BenchPart{Name: from.Name, Sources: []BenchSource{}, Banks: []string{}, Mode: from.Mode.String(), Unison: max(1, from.Unison.Voices), Transpose: from.Transpose}
	if from.Zone != profiles.NoZone {
		b.Zone = from.Listens()
	} else {
		for _, s := range from.Sources {
			for c := range 16 {
				if s.Channels>>c&1 == 1 && s.AnyPort {
					b.Sources = append(b.Sources, BenchSource{0, c + 1})
				} else if s.Channels>>c&1 == 1 {
					b.Sources = append(b.Sources, BenchSource{int(s.Port) + 1, c + 1})
				}
			}
		}
	}
	_, given := p.Rig.Given("parts." + from.Name + ".banks")
	b.AllBanks = !given
	for _, bank := range from.Banks {
		b.Banks = append(b.Banks, p.Rig.Banks[bank].Name)
	}
	for _, v := range p.Rules.Config.Voices {
		if v.State.InService() && slices.Contains(from.Banks, v.Bank) {
			b.There++
		}
	}
	if played != nil && i < len(played.Parts) {
		b.play(p, &played.Parts[i], played.WrongPitch)
	}
	return b
}

// play says what the song wants of the part, and what would mend it.
func (b *BenchPart) play(p *plan.Plan, played *Part, wrong []WrongPitch) {
	wanted := played.Demand.Pedal
	b.Wanted, b.Notes = &wanted, &played.Notes
	for i := range wrong {
		if wrong[i].Part != b.Name {
			continue
		}
		b.Wrong = &wrong[i]
		if n := wrong[i].Range.OctavesToFit; n != nil && *n != 0 && -48 <= b.Transpose+12**n && b.Transpose+12**n <= 48 {
			b.Fixes = append(b.Fixes, BenchFix{Octaves: *n, Deeds: []alter.Deed{{Do: "transpose", Part: b.Name, Semitones: b.Transpose + 12**n}}})
		}
	}
	size := p.Rig.Banks[len(p.Rig.Banks)-1].Size
	if short := wanted - b.There; short > 0 {
		f := BenchFix{Banks: (short + size - 1) / size, Voices: size}
		banks, rig := slices.Clone(b.Banks), p.Rig
		for range f.Banks {
			f.Deeds = append(f.Deeds, alter.Deed{Do: "bank", Voices: size})
			banks, rig = append(banks, rig.FreeBank()), rig.Grown(size, nil)
		}
		if !b.AllBanks {
			f.Deeds = append(f.Deeds, alter.Deed{Do: "banks", Part: b.Name, Banks: banks})
		}
		b.Fixes = append(b.Fixes, f)
	}
}

// fitting is the key at 0 V of an interface with which all fits that a song plays on it, where some of it does not now;
// else nil.
func fitting(name string, played *Result) *int {
	if played == nil {
		return nil
	}
	for i := range played.Parts {
		if r := played.Parts[i].Range; r != nil && r.ZeroKey != nil && r.ZeroKey.Interface == name {
			return &r.ZeroKey.Key
		}
	}
	return nil
}

func benchBox(p *plan.Plan, i int, fits *int) BenchBox {
	f := &p.Rig.Interfaces[i]
	b := BenchBox{Name: f.Name, Profile: f.Profile, Either: f.Outputs > 0, LowV: float64(f.Window.Low), HighV: float64(f.Window.High),
		RangeAssumed: givenSource(p.Rig, "interfaces."+f.Name+".window") == Assumed}
	keys, ok := routing.KeysWithin(f, p.Rig.A4)
	b.LowKey, b.HighKey, b.Reaches = int(keys.Low), int(keys.High), ok
	b.reaches(f, p.Rig.A4, fits)
	type jack struct {
		gate bool
		n    int
	}
	taken := map[jack]bool{}
	for _, l := range p.Map.Lanes() {
		at := jack{l.GateJack, l.Jack}
		if l.Interface != i || taken[at] {
			continue
		}
		taken[at] = true
		n := slices.IndexFunc(b.Uses, func(u BenchUse) bool { return u.Input == l.Input && u.Gate == l.Gate })
		if n < 0 {
			n, b.Uses = len(b.Uses), append(b.Uses, BenchUse{Input: l.Input, Gate: l.Gate})
		}
		b.Uses[n].Jacks++
	}
	for _, s := range p.Map.Spare {
		switch {
		case s.Interface != i:
		case s.Either:
			b.Outputs += len(s.Jacks)
		case s.Gates:
			b.Gates += len(s.Jacks)
		default:
			b.CVs += len(s.Jacks)
		}
	}
	return b
}

// usualRanges are those of most CV outputs, in volts.
var usualRanges = []profiles.Window{{Low: 0, High: 5}, {Low: 0, High: 8}, {Low: 0, High: 10}, {Low: -5, High: 5}}

// reaches lists the usual ranges, and every C up to C4 as the key at 0 V; those that the interface has are among them,
// and the key that fits.
func (b *BenchBox) reaches(f *profiles.Interface, a4 profiles.Hertz, fits *int) {
	reach := func(with profiles.Interface, deed alter.Deed) BenchReach {
		keys, ok := routing.KeysWithin(&with, a4)
		return BenchReach{float64(with.Window.Low), float64(with.Window.High), with.ZeroKey, int(keys.Low), int(keys.High), ok,
			with.Window == f.Window && with.ZeroKey == f.ZeroKey, deed, false}
	}
	ranges := usualRanges
	if !slices.Contains(ranges, f.Window) {
		ranges = slices.Concat([]profiles.Window{f.Window}, ranges)
	}
	for _, w := range ranges {
		with := *f
		with.Window = w
		b.Ranges = append(b.Ranges, reach(with, alter.Deed{Do: "range", Name: f.Name, LowV: float64(w.Low), HighV: float64(w.High)}))
	}
	if f.Scale.HertzPerVolt() {
		return
	}
	keys := []int{0, 12, 24, 36, 48, 60}
	if keys = append(keys, f.ZeroKey); fits != nil {
		keys = append(keys, *fits)
	}
	slices.Sort(keys)
	for _, key := range slices.Compact(keys) {
		with := *f
		with.ZeroKey = key
		r := reach(with, alter.Deed{Do: "zero-key", Name: f.Name, Key: &key})
		r.Fits = fits != nil && key == *fits
		b.ZeroKeys = append(b.ZeroKeys, r)
	}
}

// roomier is the smallest built-in interface with which every voice has its jacks, in place of the only
// one, or else one more like the first.
func roomier(p *plan.Plan) []BenchFix {
	f := &p.Rig.Interfaces[0]
	for _, info := range profiles.InterfaceProfiles() {
		if len(p.Rig.Interfaces) > 1 || info.Name == f.Profile {
			continue
		}
		with, err := plan.Build(p.Rig.WithJacks(0, info.Name), plan.Overrides{})
		if err == nil && len(with.WithoutJack())+len(with.Map.Missing) == 0 {
			return []BenchFix{{Profile: info.Name, Deeds: []alter.Deed{{Do: "interface", Name: f.Name, Profile: info.Name}}}}
		}
	}
	profile := f.Profile
	if profile == "" {
		profile = profiles.FittingInterface(1)
	}
	return []BenchFix{{Profile: profile, More: true, Deeds: []alter.Deed{{Do: "interface-more", Profile: profile}}}}
}
