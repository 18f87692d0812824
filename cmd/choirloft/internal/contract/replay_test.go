package contract

import (
	"cmp"
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"runtime/debug"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/alloc/study"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing/plan"
)

const demo = "../../../../testdata/"

// TestMain gives the tests the memory that the program has.
func TestMain(m *testing.M) {
	debug.SetGCPercent(400)
	m.Run()
}

// play plays the demo.
func play(t *testing.T, o plan.Overrides) (*plan.Plan, *Result) {
	t.Helper()
	rig, err := profiles.Load(demo + "kiln-yard.yaml")
	require.NoError(t, err)
	data, err := os.ReadFile(demo + "slow-kiln.mid")
	require.NoError(t, err)
	return playOn(t, rig, data, o)
}

func playOn(t *testing.T, rig *profiles.Rig, data []byte, o plan.Overrides) (*plan.Plan, *Result) {
	t.Helper()
	p, err := plan.Build(rig, o)
	require.NoError(t, err)
	song, err := midi.Read(data, midi.Options{})
	require.NoError(t, err)
	r, err := p.Replay(song)
	require.NoError(t, err)
	return p, NewResult(p, "songs/slow-kiln.mid", song, r)
}

// decode passes a value through JSON.
func decode(t *testing.T, value any) map[string]any {
	t.Helper()
	data, err := json.Marshal(value)
	require.NoError(t, err)
	var m map[string]any
	require.NoError(t, json.Unmarshal(data, &m))
	return m
}

// has requires names of an object, parted by commas.
func has(t *testing.T, object any, names string) {
	t.Helper()
	for _, name := range strings.Split(names, ", ") {
		require.Contains(t, object, name)
	}
}

// TestFieldsOfTheContract holds the JSON to the names that others read: it may
// gain some and never loses one.
func TestFieldsOfTheContract(t *testing.T) {
	p, r := play(t, plan.Overrides{Voices: plan.All(6)})
	m := decode(t, NewReplay(p, r))
	has(t, m, "version, rig, song, demand, bound, endings, flags, lost_gate_s, parts, losses, voices, findings")
	require.Equal(t, 1.0, m["version"])
	require.Equal(t, "Kiln Yard", m["rig"])
	has(t, m["song"], "file, notes, seconds, format, warnings")
	const (
		demand  = "held, pedal, audible, voices"
		bound   = "unavoidable_s, fewest_damaged, relaxed, apart"
		endings = "complete, superseded, dropped, late_start, born_cut, held_cut, overlap_only, pedal_cut, tail_cut_own_key, tail_cut_other_key, tail_cut_inaudible"
		flags   = "thinned, late, clamped, swallowed, orphan, stuck, zero_length, unmapped"
	)
	parts := m["parts"].([]any)
	require.Len(t, parts, 4)
	for _, object := range append(parts, m) {
		has(t, object, "demand, bound, endings, flags, lost_gate_s")
		o := object.(map[string]any)
		for name, want := range map[string]string{"demand": demand, "bound": bound, "endings": endings, "flags": flags} {
			require.ElementsMatch(t, strings.Split(want, ", "), slices.Collect(maps.Keys(o[name].(map[string]any))))
		}
	}
	has(t, parts[0], "name, banks, pick, steal, tails, same_key, class_order, voices, notes")
	has(t, m["losses"].([]any)[0], "at_s, bar, part, key, voice, ending, lost_s, level_db, by_key, by_part, cause, outer")
	has(t, m["voices"].([]any)[0], "voice, name, takes, held_s, sounding_s, most_semitones")
}

func TestFieldsOfSeveralSongs(t *testing.T) {
	p, r := play(t, plan.Overrides{})
	m := decode(t, NewSongs(p, []*Result{r, r}, []Failure{{"x.mid", "no song"}}))
	has(t, m, "version, rig, songs, failed, findings")
	require.Len(t, m["songs"], 2)
	has(t, m["songs"].([]any)[0], "song, demand, bound, endings, flags, lost_gate_s, parts, losses, voices")
	empty := decode(t, NewSongs(p, nil, nil))
	require.Equal(t, []any{}, empty["songs"], "an empty list, not null")
	require.Equal(t, []any{}, empty["failed"])
}

func TestCountsAgree(t *testing.T) {
	for _, steal := range []string{"protect-outer", "oldest", "none", "hard-none", "fewest-cuts", "least-lost", "least-audible"} {
		for voices := 1; voices <= 19; voices += 3 {
			name := fmt.Sprintf("%s on %d", steal, voices)
			_, r := play(t, plan.MustParse("--steal", steal, "--voices", fmt.Sprint(voices)))
			sum, damaged := 0, 0
			for e, n := range r.Endings {
				sum += n
				if study.Ending(e).Damaged() {
					damaged += n
				}
			}
			require.Equal(t, 328, sum, name) // 80 + 32 + 192 + 24
			require.Equal(t, r.Song.Notes, sum, name)
			require.Equal(t, r.Damaged, damaged, name)
			require.Len(t, r.Losses, damaged+r.Endings[study.TailCutOwnKey]+r.Endings[study.TailCutOtherKey], name)
			require.True(t, slices.IsSortedFunc(r.Losses, func(x, y Loss) int { return cmp.Compare(x.AtS, y.AtS) }), name)
			require.GreaterOrEqual(t, r.Damaged, r.Bound.FewestDamaged, name)
			require.GreaterOrEqual(t, r.LostGateS, r.Bound.UnavoidableS-1e-9, name)
			inParts, lost := 0, 0.0
			for _, p := range r.Parts {
				inParts += p.Notes
				lost += p.LostGateS
			}
			require.Equal(t, sum, inParts, name)
			require.InDelta(t, r.LostGateS, lost, 1e-9, name)
		}
	}
}

func TestDroppedNotesHaveNoVoice(t *testing.T) {
	_, r := play(t, plan.MustParse("--steal", "hard-none", "--voices", "2"))
	require.Positive(t, r.Endings[study.Dropped])
	for _, l := range r.Losses {
		require.Equal(t, "dropped", l.Ending)
		require.Nil(t, l.Voice)
		require.Nil(t, l.VoiceName)
		require.Nil(t, l.LevelDB)
		require.Nil(t, l.ByKey)
		require.Nil(t, l.ByPart)
		require.Positive(t, l.LostS)
	}
}

// fiveOnFour is five keys, one each 100 ms, to 2000 ms, as a MIDI file: 1000 ticks a
// quarter at 60 bpm, so that a tick is a millisecond.
var fiveOnFour = []byte("MThd\x00\x00\x00\x06\x00\x00\x00\x01\x03\xe8" +
	"MTrk\x00\x00\x00\x2b\x00\xff\x51\x03\x0f\x42\x40" +
	"\x00\x90\x30\x40\x64\x34\x40\x64\x37\x40\x64\x3c\x40\x64\x40\x40" +
	"\x8c\x40\x30\x00\x00\x34\x00\x00\x37\x00\x00\x3c\x00\x00\x40\x00" +
	"\x00\xff\x2f\x00")

func TestLossNamesEverything(t *testing.T) {
	rig, faults := profiles.Read("rig.yaml", []byte("rig: Four\nmiddle_c: C3\ninterfaces: {main: {profile: cv16-gate16}}\n"+
		"banks: {K: {voices: 4}}\nparts: {all: {steal: lowest}}\n"), nil)
	require.Empty(t, faults)
	_, r := playOn(t, rig, fiveOnFour, plan.Overrides{})
	require.Len(t, r.Losses, 1)
	one, e3 := 1, 64
	full := 0.0
	name, by, part := "K1", "E3", "all"
	// Lowest: V1, held-cut 48 at 400 ms, lost 1600 ms; the bass.
	require.Equal(t, Loss{AtS: 0.4, Bar: "1:1:400", BarNumber: 1, Beat: 1.4, Part: "all", Key: 48, KeyName: "C2", Voice: &one, VoiceName: &name,
		Ending: "held_cut", LostS: 1.6, LevelDB: &full, ByKey: &e3, ByKeyName: &by, ByPart: &part,
		Cause: "shortage", Outer: true}, r.Losses[0])
}

func TestDemoOnEightVoices(t *testing.T) {
	_, r := play(t, plan.Overrides{Voices: plan.All(8)})
	// cmd/demosong, without the engine: 24 notes and 2.70 voice-seconds at 8 voices;
	// held peak 13, audible 24; the bass plays keys 29–36 in a window from 36.
	require.Equal(t, 24, r.Bound.FewestDamaged)
	require.InDelta(t, 2.70, r.Bound.UnavoidableS, 1e-5) // 72 bpm is written as 833 333 µs a quarter
	require.Equal(t, Demand{Held: 13, Pedal: 13, Audible: 24, Voices: 8}, r.Demand)
	bass := r.Parts[1].Range
	require.Equal(t, []int{29, 36}, []int{bass.LowKey, bass.HighKey})
	require.Equal(t, []int{36, 96, 1}, []int{*bass.WindowLowKey, *bass.WindowHighKey, *bass.OctavesToFit})
	require.InDelta(t, 700, bass.MissedCents, 1e-9) // 36 − 29 semitones
}

func TestSwallowedNotesNameTheirBars(t *testing.T) {
	_, r := play(t, plan.MustParse("--same-key", "retrigger first-off"))
	// cmd/demosong, without the engine: 20 common tones of the pad, at chord changes; not
	// from the fourth chord back to the first.
	require.Equal(t, 20, r.Flags.Swallowed)
}

func TestUnmappedNotesNameTheirChannels(t *testing.T) {
	rig, faults := profiles.Read("rig.yaml", []byte("rig: R\ninterfaces: {main: {profile: cv16-gate16}}\nbanks: {K: {voices: 4}}\n"+
		"parts: {pad: {channel: [1, 2], keys: 36-127}}\n"), nil)
	require.Empty(t, faults)
	data, err := os.ReadFile(demo + "slow-kiln.mid")
	require.NoError(t, err)
	_, r := playOn(t, rig, data, plan.Overrides{})
	require.Equal(t, []string{"channel 2", "channel 3", "channel 4"}, r.UnmappedFrom) // bass goes down to 29
	require.Equal(t, 328-r.Song.Notes, r.Flags.Unmapped)
}

func TestBoundsThatMayBeOutOfReach(t *testing.T) {
	const head = "rig: R\ninterfaces: {main: {profile: cv16-gate16}}\n"
	for _, c := range []struct {
		rig         string
		want, apart bool
	}{
		{"banks: {K: {voices: 2}, L: {voices: 2}}\nparts: {p: {channel: 1}, q: {channel: 2}}\n", false, false},
		{"banks: {K: {voices: 2}, L: {voices: 2}}\nparts: {p: {channel: 1, banks: [K]}, q: {channel: 2, banks: [L]}}\n", false, true},
		{"banks: {K: {voices: 2}, L: {voices: 2}}\nparts: {p: {channel: 1, banks: [K]}, q: {channel: 2}}\n", true, true},
		{"banks: {K: {voices: 2, limited: {1: 40-50}}}\n", true, false},
		{"banks: {K: {voices: 2, limited: {1: 40-50}, out: [1]}}\n", false, false},
	} {
		rig, faults := profiles.Read("rig.yaml", []byte(head+c.rig), nil)
		require.Empty(t, faults)
		_, r := playOn(t, rig, fiveOnFour, plan.Overrides{})
		require.Equal(t, c.want, r.Bound.Relaxed, c.rig)
		require.Equal(t, c.apart, r.Bound.Apart, c.rig)
	}
}
