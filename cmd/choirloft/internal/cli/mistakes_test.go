package cli

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// mistakes are rigs as musicians get them wrong, with all that check says of each.
var mistakes = []struct{ name, rig, says string }{
	{"a line between two columns", `rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
parts:
  bass:
    channel: 1
   banks: [K]
`, "rig.yaml:7:4: `banks: [K]` begins with 3 spaces\n    begin it with 4 spaces, as line 6 does\n"},
	{"parts indented under banks", `rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks:
  K: {voices: 4}
  parts:
    bass: {channel: 1}
`, `rig.yaml:5:3: banks.parts: found "parts" among the banks, want it at the edge of the file
    indent it less
`},
	{"a part at the edge", `rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
parts:
bass: {channel: 1}
`, `rig.yaml:4:7: parts: found nothing, want a map of parts
rig.yaml:5:1: bass: unknown key "bass", want one of rig, a4, middle_c, order, interfaces, sequencers, voices, banks, macros, parts, timing, audible, levels, hearing, tuned, wiring, pins, gear, supplies, rack, corrections, measured, set_ups
    indent it by two spaces to put it under parts
`},
	{"channels, and a range of them", `rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
parts: {pad: {channels: 1-4}}
`, `rig.yaml:4:15: parts.pad.channels: unknown key "channels", want one of channel, keys, velocities, transpose, bend_range, bend_tails, banks, mode, reattack, reserve, limit, priority, unison, pick, steal, class_order, newcomer, tails, same_key, glide, out_of_range, seed
    did you mean channel? channels that it listens to, on every port or on one, or a zone of per-note channels, or none, such as channel: [1, 3]
rig.yaml:4:25: parts.pad.channels: found "1-4", want a channel from 1 to 16, or a port from 1 to 128 and a channel, such as port 2 channel 5, or a zone, such as mpe lower, or mpe upper 7 with 7 member channels, or none
    write [1, 2, 3, 4]
`},
	{"a range of channels", `rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
parts: {pad: {channel: 1-4}}
`, `rig.yaml:4:24: parts.pad.channel: found "1-4", want a channel from 1 to 16, or a port from 1 to 128 and a channel, such as port 2 channel 5, or a zone, such as mpe lower, or mpe upper 7 with 7 member channels, or none
    write [1, 2, 3, 4]
`},
	{"keys as a list", `rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
parts: {pad: {keys: [36, 96]}}
`, `rig.yaml:4:21: parts.pad.keys: found a list, want a range of keys such as 36-96 or C2-C7
    write 36-96
`},
	{"mode: legato", `rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
parts: {lead: {mode: legato}}
`, `rig.yaml:4:22: parts.lead.mode: found "legato", want one of poly, mono last, mono low, mono high
    write mono last: it slurs, unless reattack says otherwise
`},
	{"mode: mono", `rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
parts: {lead: {mode: mono}}
`, `rig.yaml:4:22: parts.lead.mode: found "mono", want one of poly, mono last, mono low, mono high
    write mono last, mono low or mono high
`},
	{"a bank that is not there", `rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
parts: {lead: {banks: [M]}}
`, `rig.yaml:4:24: parts.lead.banks (1st): no M under banks, want one of K, L
`},
	{"one bank without brackets", `rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
parts: {lead: {banks: K}}
`, `rig.yaml:4:23: parts.lead.banks: found "K", want a list of banks
    write [K]
`},
	{"a unit forgotten", `rig: Wall
interfaces: {main: {profile: cv16-gate16}}
voices: {saw: {release: 1.2}}
banks: {K: {voices: 4}, L: {voices: 4}}
`, `rig.yaml:3:25: voices.saw.release: "1.2" has no unit, want a time from 0 ms to 600 s
    write 1.2 s
`},
	{"a decimal comma", `rig: Wall
interfaces: {main: {profile: cv16-gate16}}
voices:
  saw:
    release: 1,2 s
banks: {K: {voices: 4}, L: {voices: 4}}
`, `rig.yaml:5:14: voices.saw.release: found "1,2 s", want a time from 0 ms to 600 s
    write decimals with a point: 1.2 s
`},
	{"a tab", "rig: Wall\ninterfaces: {main: {profile: cv16-gate16}}\nbanks:\n\tK: {voices: 4}\n", `rig.yaml:4:1: found a tab, want spaces: YAML is indented by nothing else
`},
	{"a jack twice", `rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
pins: {K1.pitch: main.cv 1, K2.pitch: main.cv 1}
`, `rig.yaml:4:39: pins."K2.pitch": main cv 1 is held by K1.pitch already
    one output to several inputs stands under wiring
`},
	{"a jack without its interface", `rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
pins: {K1.pitch: cv 3}
`, `rig.yaml:4:18: pins."K1.pitch": found "cv 3", want a jack such as main.cv 21 or main.gate 3
    the interface stands first: main.cv 3
`},
	{"a set-up with a part of the rig", `rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
sequencers: {seq: {parts: 2}}
set_ups: {stage: {from: seq, parts: {bass: K}}}
`, `rig.yaml:5:38: set_ups.stage.parts.bass: found "bass", want a whole number from 1 to 64
    the parts of a set-up are pairs of its sequencer, by number: 1: K
`},
	{"a set-up with a part too many", `rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
sequencers: {seq: {parts: 2}}
set_ups: {stage: {from: seq, parts: {3: K}}}
`, `rig.yaml:5:38: set_ups.stage.parts.3: no part 3, sequencer seq has parts 1 to 2
`},
	{"setups", `rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
setups: {stage: {from: main}}
`, `rig.yaml:4:1: setups: unknown key "setups", want one of rig, a4, middle_c, order, interfaces, sequencers, voices, banks, macros, parts, timing, audible, levels, hearing, tuned, wiring, pins, gear, supplies, rack, corrections, measured, set_ups
    did you mean set_ups? complete ways of patching the same rack, such as set_ups: {studio: {from: main}}
`},
	{"a unison as a number", `rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
parts: {pad: {unison: 2}}
`, `rig.yaml:4:23: parts.pad.unison: found "2", want a unison, key by key
    write {voices: 2}
`},
	{"a bank called by a number", `rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {1: {voices: 4}}
`, `rig.yaml:3:9: banks.1: found "1", want a bank: a letter, then letters, digits, - and _, no digit last
    call it by a letter, such as K, or by what it is
`},
	{"voices of a bank as a list", `rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: [1, 2, 3, 4]}
`, `rig.yaml:3:12: banks.K: found a list, want a bank, key by key
    write {voices: 4}
`},
	{"a bank as a number", `rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: 4}
`, `rig.yaml:3:12: banks.K: found "4", want a bank, key by key
    write {voices: 4}
`},
	{"no space behind the colon", `rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks:
  K: {voices:4}
`, `rig.yaml:4:7: banks.K."voices:4": unknown key "voices:4", want one of voices, kind, lanes, out, limited, spare, use_spare, shared, gates, colour, row, hp, ma
    a space belongs behind the colon: voices: 4
`},
	{"no banks", `rig: Wall
interfaces: {main: {profile: cv16-gate16}}
parts: {pad: {channel: 1}}
`, `rig.yaml:1:1: banks is missing
    banks: groups of voices, such as K: {voices: 4}
`},
	{"a split with a hole", `rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
parts:
  left: {channel: 1, keys: 36-59, banks: [K]}
  right: {channel: 1, keys: 62-96, banks: [L]}
`, `note: parts.right.keys: no part plays keys C4-C#4 (60-61) on channel 1, between parts left and right [keys-unplayed]
    to close it: keys: 60-96 under right
`},
	{"a split with a key on both sides", `rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
parts:
  left: {channel: 1, keys: C2-C4, banks: [K]}
  right: {channel: 1, keys: C4-C7, banks: [L]}
`, `note: parts.right.keys: key C4 (60) plays on part left and on part right [keys-overlap]
`},
	{"portamento", `rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
parts: {lead: {portamento: 60 ms}}
`, `rig.yaml:4:16: parts.lead.portamento: unknown key "portamento", want one of channel, keys, velocities, transpose, bend_range, bend_tails, banks, mode, reattack, reserve, limit, priority, unison, pick, steal, class_order, newcomer, tails, same_key, glide, out_of_range, seed
    a glide is a time that a pitch takes, such as glide: 60 ms
`},
	{"midi_channel", `rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
parts: {lead: {midi_channel: 2}}
`, `rig.yaml:4:16: parts.lead.midi_channel: unknown key "midi_channel", want one of channel, keys, velocities, transpose, bend_range, bend_tails, banks, mode, reattack, reserve, limit, priority, unison, pick, steal, class_order, newcomer, tails, same_key, glide, out_of_range, seed
    a part says what it listens to, such as channel: [1, 3]
`},
	{"detune in cents", `rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
parts: {pad: {unison: {voices: 2, detune: 8 cents}}}
`, `rig.yaml:4:43: parts.pad.unison.detune: found "8 cents", want one of position, voice
    the width stands under spread: write spread: 8 cents
`},
	{"an interface by its profile alone", `rig: Wall
interfaces: {main: cv16-gate16}
banks: {K: {voices: 4}, L: {voices: 4}}
`, `rig.yaml:2:20: interfaces.main: found "cv16-gate16", want an interface, key by key
    write {profile: cv16-gate16}
`},
	{"split", `rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
parts: {left: {split: C3}}
`, `rig.yaml:4:16: parts.left.split: unknown key "split", want one of channel, keys, velocities, transpose, bend_range, bend_tails, banks, mode, reattack, reserve, limit, priority, unison, pick, steal, class_order, newcomer, tails, same_key, glide, out_of_range, seed
    a split of the keyboard is two parts, each with its own keys, such as keys: C2-B3
`},
	{"voices by name", `rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: [K1, K2]}}
`, `rig.yaml:3:21: banks.K.voices: found a list, want a whole number from 1 to 1024
    write how many: 2
`},
	{"parts as a list", `rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
parts:
  - bass: {channel: 1}
`, `rig.yaml:5:3: parts: found a list, want a map of parts
    leave out the dashes: each has a name, a colon, and what belongs to it
`},
	{"a sharp behind a space", `rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
parts: {lead: {keys: F #2-C5}}
`, `rig.yaml:4:1: this is no YAML: did not find expected ',' or '}'
    inside {…} each key has a colon, a space and a value, and a comma before the next; a # begins a comment
`},
	{"parts in a set-up of an interface", `rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
set_ups: {studio: {from: main, parts: {1: K}}}
`, `rig.yaml:4:40: set_ups.studio.parts.1: main is an interface and plays the parts of the rig, want no parts here
    leave parts out here: they are for a sequencer
`},
	{"keys in small letters", `rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
parts: {lead: {keys: c3-c5}}
`, `rig.yaml:4:22: parts.lead.keys: found "c3-c5", want a range of keys within 0-127, such as 36-96 or C2-C7
    write C3-C5
`},
	{"a zero key in volts", `rig: Wall
interfaces: {main: {profile: cv16-gate16, zero_key: 0 V}}
banks: {K: {voices: 4}, L: {voices: 4}}
`, `rig.yaml:2:53: interfaces.main.zero_key: found "0 V", want a key from 0 to 127 or by name, such as 36 or C2
    it is a key, not volts: that which gives 0 V
`},
	{"a window without its units", `rig: Wall
interfaces: {main: {profile: cv16-gate16, window: 0-5 V}}
banks: {K: {voices: 4}, L: {voices: 4}}
`, `rig.yaml:2:51: interfaces.main.window: found "0-5 V", want a range of volts from -20 V to 20 V, such as 0 V to 5 V
    write it like 0 V to 5 V
`},
	{"channel: all", `rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
parts: {lead: {channel: all}}
`, `rig.yaml:4:25: parts.lead.channel: found "all", want a channel from 1 to 16, or a port from 1 to 128 and a channel, such as port 2 channel 5, or a zone, such as mpe lower, or mpe upper 7 with 7 member channels, or none
    leave channel out: the part then plays every channel but 10
`},
	{"steal: off", `rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
parts: {lead: {steal: off}}
`, `rig.yaml:4:23: parts.lead.steal: found "off", want one of protect-outer, oldest, newest, lowest, highest, quietest, softest, none, hard-none, fewest-cuts, least-lost, least-audible
    write none: no sounding note ever loses its voice
`},
	{"a common pitch jack that is none", `rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
sequencers: {seq: {parts: 2}}
set_ups: {stage: {from: seq, parts: {1: K}, pitches: group}}
`, `rig.yaml:5:54: set_ups.stage.pitches: found group, and there is no common pitch jack on K
    write group_pitch under the kind of its voices, or pitches: multiples
`},
	{"a set-up of nobody", `rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
set_ups: {stage: {from: daw}}
`, `rig.yaml:4:25: set_ups.stage.from: no daw under interfaces, sequencers, want one of main
    name your sequencer in the rig: sequencers: {daw: {parts: 4}}
`},
	{"legato: true", `rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
parts: {lead: {mode: mono last, legato: true}}
`, `rig.yaml:4:33: parts.lead.legato: unknown key "legato", want one of channel, keys, velocities, transpose, bend_range, bend_tails, banks, mode, reattack, reserve, limit, priority, unison, pick, steal, class_order, newcomer, tails, same_key, glide, out_of_range, seed
    a mono part slurs: a key that is pressed while another is down moves the pitch alone, unless reattack says otherwise, such as mode: mono last
`},
	{"out by voice", `rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4, out: K2}}
`, `rig.yaml:3:29: banks.K.out: found "K2", want a list of positions
    write the position in the bank: [2]
`},
	{"no name", `interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
`, `rig.yaml:1:1: rig is missing
    rig: name of the rig, such as rig: My wall
`},
	{"polyphony", `rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
parts: {pad: {polyphony: 4}}
`, `rig.yaml:4:15: parts.pad.polyphony: unknown key "polyphony", want one of channel, keys, velocities, transpose, bend_range, bend_tails, banks, mode, reattack, reserve, limit, priority, unison, pick, steal, class_order, newcomer, tails, same_key, glide, out_of_range, seed
    a part may hold all voices of its banks, or fewer, such as limit: 4
`},
	{"half a range of keys, a channel with its word", `rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
parts:
  low: {channel: ch2, keys: -B2, banks: [K]}
  high: {channel: 1, keys: C3 to C8, banks: [low]}
`, `rig.yaml:5:18: parts.low.channel: found "ch2", want a channel from 1 to 16, or a port from 1 to 128 and a channel, such as port 2 channel 5, or a zone, such as mpe lower, or mpe upper 7 with 7 member channels, or none
    write 2
rig.yaml:5:29: parts.low.keys: found "-B2", want a range of keys within 0-127, such as 36-96 or C2-C7
    write 0-B2
rig.yaml:6:28: parts.high.keys: found "C3 to C8", want a range of keys within 0-127, such as 36-96 or C2-C7
    write C3-C8
rig.yaml:6:46: parts.high.banks (1st): no low under banks, it stands under parts, want one of K, L
`},
	{"a name with a space", `rig: Wall
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
parts:
  left hand: {channel: 1}
`, `rig.yaml:5:3: parts."left hand": found "left hand", want a part: a letter, then letters, digits, - and _
    write left-hand
`},
	{"a second colon", `rig: My wall: the big one
interfaces: {main: {profile: cv16-gate16}}
banks: {K: {voices: 4}, L: {voices: 4}}
`, "rig.yaml:1:1: `rig: My wall: the big one` has a second colon and space\n    put the value in quotes, or the second key on a line of its own\n"},
}

// TestMistakes: what is said names the place, what was found, what is allowed, and
// what to write instead.
func TestMistakes(t *testing.T) {
	t.Setenv("COLUMNS", "120")
	dir := t.TempDir()
	t.Chdir(dir)
	require.GreaterOrEqual(t, len(mistakes), 24)
	for _, m := range mistakes {
		got := check(t, m.rig)
		require.Equal(t, m.says, got, "%s\n%s", m.name, got)
	}
}

// check is what check says of a rig: its faults, or its findings.
func check(t *testing.T, rig string) string {
	t.Helper()
	require.NoError(t, os.WriteFile("rig.yaml", []byte(rig), 0o666))
	got := run(t, "", "check", "rig.yaml")
	if got.status == exitUsage {
		return got.stderr
	}
	return got.stdout[strings.Index(got.stdout, "note:"):]
}
