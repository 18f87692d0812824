package alter

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gopkg.in/yaml.v3"

	"choirloft/profiles"
)

// done is a rig's text after deeds.
func done(t require.TestingT, text string, all ...Deed) string {
	data, _, err := Do("rig.yaml", []byte(text), all, nil)
	require.NoError(t, err, "%+v", all)
	return string(data)
}

const shop = `rig: Slow Kiln   # the wall

# two banks
banks:
  K: {voices: 4, kind: own}   # left
  L: {voices: 4, kind: own, out: [4], limited: {3: 40-76}}
voices:
  own: {release: 2 s}
interfaces:
  # the box
  main: {profile: cv8-gate8}  # on the desk
parts:
  # the low ones
  low: {channel: 1, keys: 0-47, banks: [K]}   # left hand
  high: {channel: [1, 3], keys: 48-127}
macros: {bite: {from: CC 74 on 16, to: [K.cutoff, L.cutoff]}, swell: {from: CC 11 on 16, to: L.level}}
pins: {K1.pitch: main.cv 1, swell: main.cv 8, L4.pitch: main.cv 7}
supplies: {one: {+12: 3 A, feeds: [K, L, main]}}
corrections: {L1: {offset: 1 mV}, K2: {offset: 2 mV}}
`

// Each deed, and the line or lines that it leaves in place of some. What is written follows from the
// grammar (doc.go of profiles): a channel of every port is a number, several are a list.
func TestDeeds(t *testing.T) {
	for _, row := range []struct {
		name   string
		deeds  []Deed
		change []string // lines as they were and as they are, in pairs; empty for none
	}{
		{"a channel of its own, which another part had", []Deed{{Do: "channel", Part: "low", Channel: 3}}, []string{
			"  low: {channel: 1, keys", "  low: {channel: [1, 3], keys", "  high: {channel: [1, 3],", "  high: {channel: 1,"}},
		{"a channel that two have, for one", []Deed{{Do: "channel", Part: "low", Channel: 1}}, []string{
			"  high: {channel: [1, 3],", "  high: {channel: 3,"}},
		{"the last channel goes", []Deed{{Do: "channel", Channel: 1}}, []string{
			"  low: {channel: 1,", "  low: {channel: none,", "  high: {channel: [1, 3],", "  high: {channel: 3,"}},
		{"beside others", []Deed{{Do: "channel", Part: "low", Channel: 3, Also: true}}, []string{"  low: {channel: 1,", "  low: {channel: [1, 3],"}},
		{"a channel of one port", []Deed{{Do: "channel", Part: "low", Port: 2, Channel: 5}}, []string{
			"  low: {channel: 1,", "  low: {channel: [1, port 2 channel 5],"}},
		{"every port in place of one", []Deed{{Do: "channel", Part: "low", Port: 2, Channel: 5}, {Do: "channel", Part: "low", Channel: 5}}, []string{
			"  low: {channel: 1,", "  low: {channel: [1, 5],"}},
		{"a zone for a part that waits", []Deed{{Do: "channel", Channel: 1}, {Do: "channel", Part: "low", Zone: "mpe upper 7"}}, []string{
			"  low: {channel: 1,", "  low: {channel: mpe upper 7,", "  high: {channel: [1, 3],", "  high: {channel: 3,"}},
		{"a part", []Deed{{Do: "part", Part: "Left hand", Channel: 4}}, []string{
			"macros:", "  Left-hand: {channel: 4}\nmacros:"}},
		{"a part without a name", []Deed{{Do: "part"}, {Do: "part"}}, []string{
			"macros:", "  part: {channel: none}\n  part-2: {channel: none}\nmacros:"}},
		{"another name", []Deed{{Do: "part-name", Part: "low", Name: "bass: deep"}}, []string{"  low: {", "  bass-deep: {"}},
		{"a part goes, its comments stay", []Deed{{Do: "part-gone", Part: "low"}}, []string{
			"  low: {channel: 1, keys: 0-47, banks: [K]}   # left hand", "  # left hand"}},
		{"banks", []Deed{{Do: "banks", Part: "low", Banks: []string{"L", "K"}}}, []string{"banks: [K]}   #", "banks: [K, L]}   #"}},
		{"all banks", []Deed{{Do: "banks", Part: "low"}}, []string{", banks: [K]}   #", "}   #"}},
		{"all banks already", []Deed{{Do: "banks", Part: "high"}}, nil},
		{"an octave up", []Deed{{Do: "transpose", Part: "high", Semitones: 12}}, []string{"keys: 48-127}", "keys: 48-127, transpose: 12}"}},
		{"mono", []Deed{{Do: "mode", Part: "high", Mode: "mono last"}}, []string{"keys: 48-127}", "keys: 48-127, mode: mono last}"}},
		{"a bank", []Deed{{Do: "bank", Voices: 2}}, []string{"voices:\n", "  M: {voices: 2, kind: own}\nvoices:\n"}},
		{"a bank goes, and all that names it", []Deed{{Do: "bank-gone", Bank: "L"}}, []string{
			"  L: {voices: 4, kind: own, out: [4], limited: {3: 40-76}}\n", "",
			"to: [K.cutoff, L.cutoff]}, swell: {from: CC 11 on 16, to: L.level}}", "to: [K.cutoff]}}",
			", swell: main.cv 8, L4.pitch: main.cv 7}", "}", "[K, L, main]", "[K, main]", "{L1: {offset: 1 mV}, K2", "{K2"}},
		{"fewer voices, and what is said of those that go", []Deed{{Do: "bank-voices", Bank: "L", Voices: 2}}, []string{
			"  L: {voices: 4, kind: own, out: [4], limited: {3: 40-76}}", "  L: {voices: 2, kind: own}", ", L4.pitch: main.cv 7}", "}"}},
		{"another interface", []Deed{{Do: "interface", Name: "main", Profile: "cv16-gate16"}}, []string{"cv8-gate8}  #", "cv16-gate16}  #"}},
		{"the key at 0 V", []Deed{{Do: "zero-key", Name: "main", Key: new(int)}}, []string{"cv8-gate8}  #", "cv8-gate8, zero_key: 0}  #"}},
		{"a range", []Deed{{Do: "range", Name: "main", LowV: -2.5, HighV: 7.5}}, []string{"cv8-gate8}  #", "cv8-gate8, window: -2.5 V to 7.5 V}  #"}},
		{"one more", []Deed{{Do: "interface-more", Profile: "cv4-gate4"}}, []string{"parts:\n", "  main2: {profile: cv4-gate4}\nparts:\n"}},
		{"and none", []Deed{{Do: "interface-gone", Name: "main"}}, []string{
			"interfaces:\n  # the box\n  main: {profile: cv8-gate8}  # on the desk\n", "# the box\n# on the desk\n",
			"pins: {K1.pitch: main.cv 1, swell: main.cv 8, L4.pitch: main.cv 7}\n", "", "[K, L, main]", "[K, L]"}},
		{"the rig's name", []Deed{{Do: "name", Name: "yes: \"K\" # 1"}}, []string{"Slow Kiln   # the", `"yes: \"K\" # 1"   # the`}},
	} {
		t.Run(row.name, func(t *testing.T) {
			want := shop
			for i := 0; i < len(row.change); i += 2 {
				require.Equal(t, 1, strings.Count(want, row.change[i]), "the row is right: %q", row.change[i])
				want = strings.Replace(want, row.change[i], row.change[i+1], 1)
			}
			require.Equal(t, want, done(t, shop, row.deeds...))
		})
	}
}

// The part that a rig has whose file names none stays when one is named.
func TestThePartThatNoFileNames(t *testing.T) {
	const bare = "rig: R\nbanks: {K: {voices: 4}}\n"
	require.Equal(t, bare+"\nparts:\n  all: {}\n  x: {channel: none}\n", done(t, bare, Deed{Do: "part", Part: "x"}))
	require.Equal(t, bare+"\nparts:\n  everything: {}\n", done(t, bare, Deed{Do: "part-name", Part: "all", Name: "everything"}))
	require.Equal(t, bare+"\nparts:\n  all: {banks: [K]}\n", done(t, bare, Deed{Do: "banks", Part: "all", Banks: []string{"K"}}))
}

// What cannot be done leaves the text, and says where and what to do.
func TestRefusals(t *testing.T) {
	for _, row := range []struct {
		name, text, why, hint string
		deed                  Deed
	}{
		{"no such deed", shop, `found the deed "dance", want one of bank, bank-gone`, "", Deed{Do: "dance"}},
		{"no such part", shop, `there is no part "arp", want one of low, high`, "reload the page", Deed{Do: "mode", Part: "arp", Mode: "poly"}},
		{"no such channel", shop, "found channel 17 on port 0, want a channel from 1 to 16", "", Deed{Do: "channel", Part: "low", Channel: 17}},
		{"a name that is taken", shop, "there is a part high already", "choose a name", Deed{Do: "part-name", Part: "low", Name: "high"}},
		{"no name", shop, "part low needs a name", "type one", Deed{Do: "part-name", Part: "low"}},
		{"the last part", done(t, shop, Deed{Do: "part-gone", Part: "low"}), "high is the last part", "add another part first", Deed{Do: "part-gone", Part: "high"}},
		{"the last bank of a part", shop, "part low has nothing but bank K", "give it another bank first", Deed{Do: "bank-gone", Bank: "K"}},
		{"the last bank of a supply", strings.Replace(shop, "[K, L, main]", "[L]", 1), "supply one has nothing but bank L", "have it feed something else", Deed{Do: "bank-gone", Bank: "L"}},
		{"no voices", shop, "banks.K.voices: found 0, want", "", Deed{Do: "bank-voices", Bank: "K"}},
		{"a kind that is none", shop, "banks.M.kind: no kind of voice brick, want one of own", "", Deed{Do: "bank", Voices: 4, Kind: "brick"}},
		{"a mode that is none", shop, `parts.low.mode: found "mono first", want one of poly`, "", Deed{Do: "mode", Part: "low", Mode: "mono first"}},
		{"an interface that is none", shop, "no built-in profile", "", Deed{Do: "interface", Name: "main", Profile: "cv9"}},
		{"semitones", shop, "parts.low.transpose: found 49, want", "", Deed{Do: "transpose", Part: "low", Semitones: 49}},
		{"a comment in the way", strings.Replace(shop, "[1, 3]", "[1, # both\n  3]", 1), "a comment in line 15 is in the way",
			"write this by hand: parts.high.channel: none", Deed{Do: "channel", Part: "low", Zone: "mpe lower"}},
		{"every port but one", shop, "high listens to this channel on every port", "write by hand which ports", Deed{Do: "channel", Part: "low", Port: 2, Channel: 3}},
		{"a channel of a zone", strings.Replace(shop, "channel: 1,", "channel: mpe lower 7,", 1), "low listens to mpe lower 7, which has some of that",
			"move the zone", Deed{Do: "channel", Part: "high", Channel: 8}},
	} {
		t.Run(row.name, func(t *testing.T) {
			if row.name == "a comment in the way" {
				row.text = strings.Replace(row.text, "channel: 1,", "channel: none,", 1)
			}
			_, _, err := Do("rig.yaml", []byte(row.text), []Deed{{Do: "name", Name: "Other"}, row.deed}, nil)
			var refused *Refusal
			require.ErrorAs(t, err, &refused)
			require.Contains(t, refused.Why, row.why)
			require.Contains(t, refused.Hint, row.hint)
		})
	}
}

// A rig written by hand, with a remark everywhere: after twenty deeds all are there, in order, and the rig
// says what was done.
func TestTwentyEditsLeaveTheComments(t *testing.T) {
	const hand = `# one
rig: Kiln Yard # two
# three
interfaces: # four
  main: # five
    profile: cv16-gate16 # six
    # seven
    window: 0 V to 5 V # eight
banks: # nine
  # ten
  K: {voices: 4} # eleven
  L: # twelve
    voices: 4 # thirteen
    out: [2] # fourteen
  M: {voices: 4, # fifteen
    spare: [4]} # sixteen
parts: # seventeen
  pad: # eighteen
    channel: 1 # nineteen
    # twenty
    banks: [K, L] # twenty-one
  bass: {channel: 2, # twenty-two
    banks: [M]} # twenty-three
  # twenty-four
macros: # twenty-five
  bite: {from: CC 74 on 16, to: [K.cutoff, # twenty-six
    L.cutoff]} # twenty-seven
# twenty-eight
`
	deeds := []Deed{
		{Do: "name", Name: "Kiln"}, {Do: "part", Part: "arp", Channel: 3}, {Do: "channel", Part: "pad", Channel: 4}, {Do: "channel", Part: "arp", Channel: 1},
		{Do: "banks", Part: "pad", Banks: []string{"K"}}, {Do: "part-name", Part: "bass", Name: "low"}, {Do: "transpose", Part: "low", Semitones: 12},
		{Do: "mode", Part: "low", Mode: "mono low"}, {Do: "bank", Voices: 2}, {Do: "bank-voices", Bank: "L", Voices: 1}, {Do: "bank-gone", Bank: "L"},
		{Do: "interface", Name: "main", Profile: "cv8-gate8"}, {Do: "interface-more", Profile: "cv4-gate4"}, {Do: "interface-gone", Name: "main2"},
		{Do: "banks", Part: "pad"}, {Do: "channel", Channel: 1}, {Do: "part", Channel: 1}, {Do: "part-gone", Part: "arp"}, {Do: "banks", Part: "low"},
		{Do: "bank-gone", Bank: "M"},
	}
	require.Len(t, deeds, 20)
	text := done(t, hand, deeds...)
	require.Equal(t, comments(hand), comments(text))
	rig, faults := profiles.Read("rig.yaml", []byte(text), nil)
	require.Empty(t, faults)
	require.Equal(t, "Kiln", rig.Name)
	require.Len(t, rig.Voices, 4+2) // K and the new bank
	require.Equal(t, "cv8-gate8", rig.Interfaces[0].Profile)
	var parts []string
	for _, p := range rig.Parts {
		parts = append(parts, p.Name+" "+p.Listens()+" "+p.Mode.String())
	}
	require.Equal(t, []string{"pad 4 poly", "low 2 mono low", "part 1 poly"}, parts)
}

// comments are those of a text without # in quotes (YAML 1.2.2, 6.6: behind a space or at the start).
func comments(text string) []string {
	all := regexp.MustCompile(`(?m)(?:^|[ \t])(#.*)$`).FindAllStringSubmatch(text, -1)
	var list []string
	for _, m := range all {
		list = append(list, strings.TrimRight(m[1], "\r"))
	}
	return list
}

// rigFiles are the rigs of testdata that read well, with the folders of their profiles.
func rigFiles(t *testing.T) (names []string, texts map[string]string, folders map[string]fs.FS) {
	texts, folders = map[string]string{}, map[string]fs.FS{}
	for _, pattern := range []string{"../../testdata/*.yaml", "../../testdata/rigs/*.yaml"} {
		found, err := filepath.Glob(pattern)
		require.NoError(t, err)
		for _, name := range found {
			data, err := os.ReadFile(name)
			require.NoError(t, err)
			names, texts[name], folders[name] = append(names, name), string(data), os.DirFS(filepath.Dir(name))
		}
	}
	require.Greater(t, len(names), 12)
	return names, texts, folders
}

// entries are the texts of a file's entries two keys deep, such as parts pad, each as YAML says it anew.
func entries(t require.TestingT, text string) map[string]string {
	var top map[string]yaml.Node
	require.NoError(t, yaml.Unmarshal([]byte(text), &top))
	all := map[string]string{}
	say := func(key string, n yaml.Node) {
		n.HeadComment, n.LineComment, n.FootComment = "", "", ""
		var value any
		require.NoError(t, n.Decode(&value))
		out, err := yaml.Marshal(value)
		require.NoError(t, err)
		all[key] = string(out)
	}
	for key, n := range top {
		if n.Kind != yaml.MappingNode {
			say(key, n)
			continue
		}
		for i := 0; i < len(n.Content); i += 2 {
			say(key+" "+n.Content[i].Value, *n.Content[i+1])
		}
	}
	return all
}

// A CV range and a key at 0 V, set under their interface and set back: every comment stays, and the demo's rig is
// there byte by byte. Beyond the grammar (doc.go of profiles) neither can be set.
func TestRangeAndZeroKey(t *testing.T) {
	data, err := os.ReadFile("../../testdata/kiln-yard.yaml")
	require.NoError(t, err)
	low, usual, high := 24, 36, 128
	set := done(t, string(data), Deed{Do: "range", Name: "main", LowV: -5, HighV: 5}, Deed{Do: "zero-key", Name: "main", Key: &low})
	require.Contains(t, set, "    window: -5 V to 5 V ")
	require.Contains(t, set, "    zero_key: 24 ")
	require.Equal(t, comments(string(data)), comments(set))
	require.Equal(t, string(data), done(t, set, Deed{Do: "zero-key", Name: "main", Key: &usual}, Deed{Do: "range", Name: "main", HighV: 5}))
	for why, d := range map[string]Deed{
		`there is no interface "box"`: {Do: "zero-key", Name: "box", Key: &low}, `there is no interface "cab"`: {Do: "range", Name: "cab", HighV: 5},
		"found no key": {Do: "zero-key", Name: "main"}, "128": {Do: "zero-key", Name: "main", Key: &high}, "0 V to 0 V": {Do: "range", Name: "main"},
		"21 V": {Do: "range", Name: "main", HighV: 21},
	} {
		_, _, err := Do("rig.yaml", data, []Deed{d}, nil)
		var refused *Refusal
		require.ErrorAs(t, err, &refused, why)
		require.Contains(t, refused.Why, why)
	}
}
