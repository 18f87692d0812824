package say

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/profiles"
	"choirloft/profiles/alter"
	"choirloft/profiles/unit"
)

// BenchFace is a song beside the parts that play it, and what these play on, in words.
type BenchFace struct {
	Sentence   string        `json:"sentence"`
	Hint       string        `json:"hint"` // what to do next
	Channels   []ChannelFace `json:"channels"`
	Parts      []PartFace    `json:"parts"`
	Banks      []PlaysOn     `json:"banks"`
	Interfaces []BoxFace     `json:"interfaces"`
	Profiles   []ChoiceFace  `json:"profiles"` // of interfaces
	Kinds      []ChoiceFace  `json:"kinds"`    // of voices: those of the rig, then built-in ones
	Modes      []ChoiceFace  `json:"modes"`
	More       BankMore      `json:"more"`
}

// BankMore is the bank that is added at one press: as large as the last.
type BankMore struct {
	Voices int    `json:"voices"`
	Label  string `json:"label"`
}

// ChannelFace is a channel of the song.
type ChannelFace struct {
	Label string `json:"label"` // ch 1
	About string `json:"about"`
	Heard string `json:"heard"` // by whom; empty where nobody has to
	contract.BenchChannel
}

// PartFace is a part.
type PartFace struct {
	Listens string `json:"listens"` // ch 1
	On      string `json:"on"`      // K L, or every bank
	How     string `json:"how"`     // mono last, unison of 2; empty where it is poly and has no unison
	Says    string `json:"says"`    // how many voices it wants, and how many there are; empty without a song
	Short   bool   `json:"short"`   // it wants more
	Mono    string `json:"mono"`    // why one note of a chord plays; empty where the song has none on it
	Wrong   string `json:"wrong"`   // notes at the wrong pitch; empty for none
	contract.BenchPart
	Fixes []FixFace `json:"fixes"`
}

// FixFace is what would mend something, as deeds.
type FixFace struct {
	Label string       `json:"label"`
	Deeds []alter.Deed `json:"deeds"`
}

// PlaysOn is a bank.
type PlaysOn struct{ contract.BenchBank }

// BoxFace is an interface.
type BoxFace struct {
	About string `json:"about"`
	Wrong string `json:"wrong"` // voices without a jack; empty for none
	contract.BenchBox
	Fixes    []FixFace   `json:"fixes"`
	Ranges   []ReachFace `json:"ranges"`    // CV ranges to choose
	ZeroKeys []ReachFace `json:"zero_keys"` // keys at 0 V to choose
}

// ReachFace is a CV range or a key at 0 V to choose.
type ReachFace struct {
	Name  string     `json:"name"`
	About string     `json:"about"`
	On    bool       `json:"on"` // it is so
	Deed  alter.Deed `json:"deed"`
}

// ChoiceFace is one of several things to choose.
type ChoiceFace struct {
	Name  string `json:"name"`
	About string `json:"about"`
}

// Bench puts a song beside its parts into words.
func Bench(b *contract.Bench, rig *profiles.Rig) *BenchFace {
	f := &BenchFace{Channels: []ChannelFace{}, Parts: []PartFace{}, Banks: []PlaysOn{}, Interfaces: []BoxFace{}, Kinds: kindFaces(rig),
		Sentence: "There is no song yet.", Hint: "Drop a MIDI file here: its channels then go to parts, and parts to banks."}
	if b.Result != nil {
		f.Sentence, f.Hint = b.Result.Summary, b.Result.Verdict
	}
	for _, c := range b.Channels {
		f.Channels = append(f.Channels, ChannelFace{channelLabel(c.Port, c.Channel, c.Zone), channelAbout(&c, b.MiddleC), channelHeard(&c), c})
	}
	for i := range b.Parts {
		f.Parts = append(f.Parts, partFace(&b.Parts[i], b.MiddleC))
	}
	for _, bank := range b.Banks {
		f.Banks = append(f.Banks, PlaysOn{bank})
	}
	if n := len(b.Banks); n > 0 {
		f.More.Voices = b.Banks[n-1].Voices
		f.More.Label = "Bank of " + strconv.Itoa(f.More.Voices)
	}
	for i := range b.Boxes {
		f.Interfaces = append(f.Interfaces, boxFace(&b.Boxes[i], b, i == 0))
	}
	for _, p := range profiles.InterfaceProfiles() {
		f.Profiles = append(f.Profiles, ChoiceFace{p.Name, p.About})
	}
	for m := profiles.Poly; m <= profiles.MonoHigh; m++ {
		f.Modes = append(f.Modes, ChoiceFace{m.String(), modeAbout[m]})
	}
	return f
}

// modeAbout says what each mode does.
var modeAbout = map[profiles.Mode]string{
	profiles.Poly: "plays chords", profiles.MonoLast: "one note at a time: the key pressed last",
	profiles.MonoLow: "one note at a time: the lowest key", profiles.MonoHigh: "one note at a time: the highest key",
}

func kindFaces(rig *profiles.Rig) (all []ChoiceFace) {
	has := func(name string) bool {
		return slices.ContainsFunc(all, func(c ChoiceFace) bool { return c.Name == name })
	}
	for _, k := range rig.Kinds {
		if !k.Pos.IsZero() {
			all = append(all, ChoiceFace{k.Name, "of this rig"})
		}
	}
	for _, k := range profiles.VoiceKinds() {
		if !has(k.Name) {
			all = append(all, ChoiceFace{k.Name, k.About})
		}
	}
	return all
}

// channelLabel is short: ch 1, port 2 ch 5, mpe lower.
func channelLabel(port, channel int, zone string) string {
	switch {
	case zone != "":
		return zone
	case port > 0:
		return fmt.Sprintf("port %d ch %d", port, channel)
	}
	return "ch " + strconv.Itoa(channel)
}

func channelAbout(c *contract.BenchChannel, middleC int) string {
	u := &c.Use
	pedal := "no pedal"
	if u.Sustain {
		pedal = "pedal used"
	}
	about := fmt.Sprintf("%s, %s, %d at once, %s", unit.Count(u.Notes, "note"), keysFrom(u.LowKey, u.HighKey, middleC), u.Pedal, pedal)
	if c.Drums {
		about += "; drums as a rule"
	}
	return about
}

// channelHeard says which parts listen to a channel.
func channelHeard(c *contract.BenchChannel) string {
	switch {
	case len(c.Parts) > 0:
		return "→ " + strings.Join(c.Parts, ", ")
	case c.Drums:
		return ""
	}
	return "nobody plays it"
}

// keysFrom names keys with their numbers: D3-E5 (50-76).
func keysFrom(low, high, middleC int) string {
	if low == high {
		return fmt.Sprintf("%s (%d)", contract.KeyName(low, middleC), low)
	}
	return fmt.Sprintf("%s-%s (%d-%d)", contract.KeyName(low, middleC), contract.KeyName(high, middleC), low, high)
}

func partFace(p *contract.BenchPart, middleC int) PartFace {
	f := PartFace{Listens: heardBy(p), On: strings.Join(p.Banks, " "), How: playsHow(p), BenchPart: *p, Fixes: fixFaces(p.Fixes)}
	if p.AllBanks {
		f.On = "every bank"
	}
	switch {
	case p.Wanted == nil:
	case *p.Notes == 0:
		f.Says = "plays nothing of this song"
	default:
		f.Says, f.Short = fmt.Sprintf("%d wanted, %d there", *p.Wanted, p.There), *p.Wanted > p.There
	}
	if p.Chord > 0 {
		f.Mono = fmt.Sprintf("%s plays one note at a time, as %s. This song sounds up to %d at once.", p.Name, proposedFor(p.For), p.Chord)
	}
	if p.Wrong != nil {
		f.Wrong = unit.Count(p.Wrong.Notes, "note") + " " + outside(&p.Wrong.Range, middleC)
	}
	return f
}

// playsHow says what of a part is not as a rule.
func playsHow(p *contract.BenchPart) string {
	var how []string
	if p.Mode != profiles.Poly.String() {
		how = append(how, p.Mode)
	}
	if p.Unison > 1 {
		how = append(how, "unison of "+strconv.Itoa(p.Unison))
	}
	return strings.Join(how, ", ")
}

// proposedFor says who made a part mono.
func proposedFor(song string) string {
	if song == "" {
		return "the rig says"
	}
	return "proposed for " + song
}

// heardBy says what a part listens to, ports one after the other.
func heardBy(p *contract.BenchPart) string {
	if p.Zone != "" {
		return p.Zone
	}
	if len(p.Sources) == 0 {
		return "no channel"
	}
	var ports []string
	for i := 0; i < len(p.Sources); {
		port, channels := p.Sources[i].Port, []int{}
		for ; i < len(p.Sources) && p.Sources[i].Port == port; i++ {
			channels = append(channels, p.Sources[i].Channel)
		}
		ports = append(ports, strings.Replace(channelLabel(port, 0, ""), "ch 0", "ch "+unit.List(unit.Runs(channels)), 1))
	}
	return strings.Join(ports, ", ")
}

func fixFaces(fixes []contract.BenchFix) []FixFace {
	all := []FixFace{}
	for _, x := range fixes {
		all = append(all, FixFace{fixLabel(&x), x.Deeds})
	}
	return all
}

func fixLabel(x *contract.BenchFix) string {
	switch {
	case x.Octaves > 0:
		return "Transpose up " + unit.Count(x.Octaves, "octave")
	case x.Octaves < 0:
		return "Transpose down " + unit.Count(-x.Octaves, "octave")
	case x.Banks == 1:
		return fmt.Sprintf("Add a bank of %d", x.Voices)
	case x.Banks > 1:
		return fmt.Sprintf("Add %d banks of %d", x.Banks, x.Voices)
	case x.Chords:
		return "Play chords"
	case x.More:
		return "Add another " + x.Profile
	}
	return "Use " + x.Profile
}

// boxFace says what an interface is used for. What has no jack is said at the first.
func boxFace(x *contract.BenchBox, b *contract.Bench, first bool) BoxFace {
	f := BoxFace{About: boxAbout(x, b.MiddleC), BenchBox: *x, Fixes: fixFaces(x.Fixes), Ranges: []ReachFace{}, ZeroKeys: []ReachFace{}}
	for _, r := range x.Ranges {
		f.Ranges = append(f.Ranges, ReachFace{unit.Volts(r.LowV) + " to " + unit.Volts(r.HighV), reachAbout(&r, b.MiddleC), r.Now, r.Deed})
	}
	for _, r := range x.ZeroKeys {
		about := reachAbout(&r, b.MiddleC)
		if r.Fits {
			about += ", all of the song"
		}
		if !r.Now {
			about += "; tune its voices to it"
		}
		f.ZeroKeys = append(f.ZeroKeys, ReachFace{keysFrom(r.ZeroKey, r.ZeroKey, b.MiddleC), about, r.Now, r.Deed})
	}
	if first && len(b.NoJack) > 0 {
		f.Wrong = countHave(len(b.NoJack), "voice") + " no jack: " + unit.First(b.NoJack, 6)
	}
	return f
}

func reachAbout(r *contract.BenchReach, middleC int) string {
	if !r.Reaches {
		return "reaches no key"
	}
	return "reaches " + keysFrom(r.LowKey, r.HighKey, middleC)
}

func boxAbout(x *contract.BenchBox, middleC int) string {
	var used, free []string
	for _, u := range x.Uses {
		name := u.Input
		switch {
		case name == "":
			name = "macro"
		case !u.Gate:
			name += " CV"
		}
		used = append(used, unit.Count(u.Jacks, name))
	}
	if len(used) == 0 {
		used = []string{"no jack is used"}
	}
	if x.Either {
		free = append(free, unit.Count(x.Outputs, "output"))
	} else {
		free = append(free, fmt.Sprintf("%d CV", x.CVs), unit.Count(x.Gates, "gate"))
	}
	assumed := ""
	if x.RangeAssumed {
		assumed = " (assumed)"
	}
	reach := " reaches no key"
	if x.Reaches {
		reach = " reaches " + keysFrom(x.LowKey, x.HighKey, middleC)
	}
	return fmt.Sprintf("%s: %s stay free. %s to %s%s%s.", strings.Join(used, ", "), unit.List(free), unit.Volts(x.LowV), unit.Volts(x.HighV), assumed, reach)
}
