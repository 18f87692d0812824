package profiles

import (
	"bytes"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/alloc"
	"choirloft/midi"
)

func TestStarterText(t *testing.T) {
	const schema = "../../profiles/rig.schema.json" // from the folder of the rigs
	golden(t, rigs+"/starter.yaml", string(Starter(StarterOptions{Schema: schema})))
	golden(t, rigs+"/starter-song.yaml", string(Starter(StarterOptions{
		Name: "Kiln: Yard", Banks: 5, Schema: schema, Parts: []StarterPart{
			{
				Name: "Left hand", Sources: []alloc.Source{{AnyPort: true, Channels: 1}}, Banks: []int{0, 1},
				Keys: alloc.KeyRange{Low: 36, High: 96}, Unison: 2, Comment: "80 notes,\n5 at once",
			},
			{Name: "no", Sources: []alloc.Source{{Port: 1, Channels: 1 << 4}}, Unison: 13},
		},
	})))
	require.True(t, bytes.HasPrefix(Starter(StarterOptions{}), []byte("# yaml-language-server: $schema=rig.schema.json\n")))
	_, err := os.Stat(rigs + "/" + schema)
	require.NoError(t, err)
}

// drawOptions draws options that pass Check.
func drawOptions(t *rapid.T) StarterOptions {
	o := StarterOptions{
		Name:    rapid.OneOf(rapid.String(), rapid.SampledFrom([]string{"", "Kiln Yard", "808", "yes", "a: b # c", "\"q\"", "1 'x"})).Draw(t, "name"),
		Banks:   rapid.OneOf(rapid.IntRange(1, 12), rapid.IntRange(1, 1024)).Draw(t, "banks"),
		Profile: rapid.SampledFrom(append(interfaceProfiles.names(), "", "", "")).Draw(t, "profile"),
		Kind:    rapid.SampledFrom(append(kindProfiles.names(), "")).Draw(t, "kind"),
		Schema:  rapid.SampledFrom([]string{"", "../rig.schema.json", "https://example.org/rig.schema.json"}).Draw(t, "schema"),
	}
	if o.Name != "" && !isLine(o.Name, 80) {
		o.Name = ""
	}
	o.Voices = rapid.OneOf(rapid.IntRange(1, min(8, 4096/o.Banks)), rapid.IntRange(1, min(1024, 4096/o.Banks))).Draw(t, "voices")
	o.Parts = rapid.SliceOfN(rapid.Custom(func(t *rapid.T) StarterPart { return drawPart(t, o) }), 0, 5).Draw(t, "parts")
	return o
}

func drawPart(t *rapid.T, o StarterOptions) StarterPart {
	p := StarterPart{
		Name:    rapid.OneOf(rapid.String(), rapid.SampledFrom([]string{"pad", "Pad 1", "12 strings", "null", "", "no"})).Draw(t, "name"),
		Banks:   rapid.SliceOfNDistinct(rapid.IntRange(0, o.Banks-1), 0, min(o.Banks, 5), rapid.ID[int]).Draw(t, "banks"),
		Comment: rapid.String().Draw(t, "comment"),
	}
	for port := range rapid.IntRange(0, 3).Draw(t, "ports") {
		p.Sources = append(p.Sources, alloc.Source{Port: midi.Port(port), Channels: rapid.Uint16Min(1).Draw(t, "channels")})
	}
	if p.Sources == nil && rapid.Bool().Draw(t, "any port") {
		p.Sources = []alloc.Source{{AnyPort: true, Channels: rapid.Uint16Min(1).Draw(t, "channels")}}
	}
	if rapid.Bool().Draw(t, "keys") {
		p.Keys.Low = rapid.Custom(func(t *rapid.T) midi.Key { return midi.Key(rapid.IntRange(0, 127).Draw(t, "low")) }).Draw(t, "low")
		p.Keys.High = midi.Key(rapid.IntRange(max(1, int(p.Keys.Low)), 127).Draw(t, "high"))
	}
	banks := len(p.Banks)
	if banks == 0 {
		banks = o.Banks
	}
	p.Unison = rapid.IntRange(0, min(64, banks*o.Voices)).Draw(t, "unison")
	return p
}

// What is asked for is what is read.
func TestStarterIsRead(t *testing.T) {
	schema := compiled(t, Schema())
	rapid.Check(t, func(t *rapid.T) {
		o := drawOptions(t)
		require.NoError(t, o.Check())
		data := Starter(o)
		rig, faults := Read("starter.yaml", data, nil)
		require.Empty(t, faults, "%s", data)
		require.NoError(t, schema.Validate(instance(t, data)))
		if o.Name != "" {
			require.Equal(t, o.Name, rig.Name)
		}
		require.Len(t, rig.Banks, o.Banks)
		require.Len(t, rig.Voices, o.Banks*o.Voices)
		if o.Profile != "" {
			require.Equal(t, o.Profile, rig.Interfaces[0].Profile)
		} else {
			require.GreaterOrEqual(t, pairs(rig), len(rig.Voices))
		}
		if o.Kind != "" {
			require.Equal(t, o.Kind, rig.Kinds[rig.Banks[0].Kind].Profile)
		}
		if o.Banks <= 12 && len(o.Parts) <= 3 && len(rig.Interfaces) == 1 {
			lines := bytes.Count(data, []byte("\n"))
			for i := range o.Parts {
				lines -= min(1, len(o.Parts[i].Comment)) // a line of its own
			}
			require.True(t, 10 <= lines && lines <= 40, "%d lines", lines)
		}
		checkStarterParts(t, o, rig)
	})
}

func pairs(rig *Rig) int {
	n := 0
	for _, i := range rig.Interfaces {
		n += min(i.CV, i.Gates)
	}
	return n
}

func checkStarterParts(t *rapid.T, o StarterOptions, rig *Rig) {
	if len(o.Parts) == 0 {
		require.Equal(t, "all", rig.Parts[0].Name)
		return
	}
	require.Len(t, rig.Parts, len(o.Parts))
	for i, want := range o.Parts {
		got, def := rig.Parts[i], partShape.defaults()
		if want.Sources == nil {
			want.Sources = def.Sources
		}
		if want.Keys == (alloc.KeyRange{}) {
			want.Keys = allKeys
		}
		banks := slices.Sorted(slices.Values(want.Banks))
		for b := 0; len(want.Banks) == 0 && b < o.Banks; b++ {
			banks = append(banks, b)
		}
		require.Equal(t, merge(want.Sources), got.Sources)
		require.Equal(t, want.Keys, got.Keys)
		require.Equal(t, banks, got.Banks)
		require.Equal(t, max(want.Unison, 1), got.Unison.Voices)
		if nameForm().MatchString(want.Name) && !readsAsOther().MatchString(want.Name) && !strings.HasSuffix(want.Name, "-") && len(want.Name) < 30 && strings.Count(strings.Join(names(o.Parts), "\n"), want.Name) == 1 {
			require.Equal(t, want.Name, got.Name)
		}
	}
}

func names(parts []StarterPart) []string {
	var all []string
	for _, p := range parts {
		all = append(all, p.Name)
	}
	return all
}

var commented = regexp.MustCompile(`(?m)^( *)# ( *[a-z_]+:.*)$`)

// What stands behind a # is what is assumed: without them the rig is the same,
// but that the values are given.
func TestStarterCommentsHoldTheDefaults(t *testing.T) {
	for _, profile := range append(interfaceProfiles.names(), "") {
		for _, kind := range kindProfiles.names() {
			data := Starter(StarterOptions{Profile: profile, Kind: kind})
			assumed := mustRead(t, string(data))
			require.Len(t, commented.FindAll(data, -1), 10)
			given := mustRead(t, string(commented.ReplaceAll(data, []byte("$1$2"))))
			for _, at := range []string{
				"interfaces.main.zero_key", "interfaces.main.output_resistance", "interfaces.main.gate", "voices.own.release",
				"voices.own.pitch_resistance", "voices.own.gate_threshold", "voices.own.group_pitch", "voices.own.drift",
			} {
				_, before := assumed.Given(at)
				_, after := given.Given(at)
				require.Equal(t, []bool{false, true}, []bool{before, after}, at)
			}
			require.Equal(t, "pad", given.Parts[0].Name)
			require.Equal(t, assumed.Interfaces[0], given.Interfaces[0])
			require.Equal(t, assumed.Kinds[0], given.Kinds[0])
		}
	}
}

func TestStarterCheck(t *testing.T) {
	for _, row := range []struct {
		options StarterOptions
		want    string
	}{
		{StarterOptions{Name: "a\nb"}, `found the name "a\nb", want one line of at most 80 characters`},
		{StarterOptions{Banks: -1}, "found -1 banks, want 1 to 1024"},
		{StarterOptions{Banks: 1025, Voices: 1025}, "found 1025 banks, want 1 to 1024\nfound 1025 voices a bank, want 1 to 1024"},
		{StarterOptions{Banks: 1024, Voices: 5}, "found 1024 banks of 5 voices, want at most 4096 voices"},
		{StarterOptions{Profile: "cv9", Kind: "saw"}, `found the profile "cv9", want one of audio-dc8, audio-dc16, cv4-gate4, ` +
			`cv8-gate8, cv16-gate16, cv24-gate24, cv32-gate32, cv48-gate48, cv64-gate64, or the path of a profile file` +
			"\n" + `found the kind of voice "saw", want one of dual-saw-lowpass, pulse-lowpass, saw-lowpass, struck`},
		{StarterOptions{Schema: "my rig.json"}, `found the schema "my rig.json", want a path without spaces`},
		{StarterOptions{Parts: []StarterPart{{}, {Banks: []int{1}}}}, "part 2: found bank 1, want 0 to 0, each once"},
		{StarterOptions{Parts: []StarterPart{{Unison: 5}}}, "part 1: found a unison of 5 voices, want 1 to 4"},
		{StarterOptions{Parts: []StarterPart{{Keys: alloc.KeyRange{Low: 60, High: 59}}}},
			"part 1: found the keys 60-59, want two of 0 to 127, the lower first"},
		{StarterOptions{Parts: []StarterPart{{Sources: []alloc.Source{{AnyPort: true, Channels: 3}, {Channels: 1}}}}},
			"part 1: found the channels [1, 2, port 1 channel 1], want some, and no two alike"},
		{StarterOptions{Parts: make([]StarterPart, 257)}, "found 257 parts, want at most 256"},
	} {
		require.EqualError(t, row.options.Check(), row.want)
	}
	require.NoError(t, StarterOptions{Profile: "boxes/mine.yaml"}.Check())
	require.Error(t, StarterOptions{Profile: "../mine.yaml"}.Check())

	// 256 parts with 1023 banks each would be too long for a rig file
	most := StarterPart{Banks: make([]int, 1023)}
	for i := range most.Banks {
		most.Banks[i] = i
	}
	require.ErrorContains(t, StarterOptions{Banks: 1024, Parts: slices.Repeat([]StarterPart{most}, 256)}.Check(), "bytes, want at most 1048576")
}

// 4 voices need 4 pitch and 4 gate jacks, and so on up to 64.
func TestFittingInterface(t *testing.T) {
	for voices, want := range map[int]string{
		0: "cv4-gate4", 4: "cv4-gate4", 5: "cv8-gate8", 8: "cv8-gate8", 9: "cv16-gate16", 17: "cv24-gate24",
		20: "cv24-gate24", 32: "cv32-gate32", 33: "cv48-gate48", 64: "cv64-gate64", 65: "",
	} {
		require.Equal(t, want, FittingInterface(voices), voices)
	}
}

func TestCatalogue(t *testing.T) {
	for _, list := range [][]ProfileInfo{InterfaceProfiles(), SequencerProfiles(), VoiceKinds()} {
		require.NotEmpty(t, list)
		for _, p := range list {
			require.True(t, isLine(p.About, 120), p.Name)
			require.NotContains(t, p.About, ".")
		}
	}
	require.Equal(t, ProfileInfo{"audio-dc8", "An audio interface whose 8 outputs pass DC: each gives a CV or a gate"}, InterfaceProfiles()[0])
	require.Equal(t, ProfileInfo{"seq6", "A hardware sequencer with six pitch and gate pairs"}, SequencerProfiles()[1])
	require.Equal(t, "struck", VoiceKinds()[3].Name)
}
