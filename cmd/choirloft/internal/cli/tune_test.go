package cli

import (
	"encoding/binary"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/midi/corpora"
)

const tunedWall = `rig: Wall   # ours
interfaces: {main: {profile: cv16-gate16, window: 0 V to 5 V, zero_key: 36}}

# one bank
banks: {K: {voices: 4}}
parts: {p: {unison: {voices: 2, spread: 3 cents}}}   # narrow
`

// saw is a second of a saw of so many hertz, as a file of 16 bits.
func saw(hertz float64) string {
	const rate = 24000
	var data []byte
	for i := range rate {
		v := 0.0
		for h := 1.0; h <= 10; h++ {
			v += 0.4 / h * math.Sin(2*math.Pi*h*hertz*float64(i)/rate)
		}
		data = binary.LittleEndian.AppendUint16(data, uint16(int16(v*30000)))
	}
	head := []byte("RIFF\x00\x00\x00\x00WAVEfmt \x10\x00\x00\x00\x01\x00\x01\x00")
	head = binary.LittleEndian.AppendUint32(head, rate)
	head = binary.LittleEndian.AppendUint32(head, rate*2)
	head = append(head, "\x02\x00\x10\x00data"...)
	return string(binary.LittleEndian.AppendUint32(head, uint32(len(data)))) + string(data)
}

func key(key, cents float64) float64 { return 440 * math.Exp2((key-69+cents/100)/12) }

// TestTuneRecordings: a folder of recordings, one voice 14 cents sharp. It is
// named with its trimmer and not written; turned and recorded again, what was assumed
// of the unison is measured, and the corrections land in the rig, of which nothing
// else changes.
func TestTuneRecordings(t *testing.T) {
	corpora.Patient(t)
	t.Parallel()
	files := map[string]string{"rig.yaml": tunedWall}
	for voice, cents := range map[string]float64{"K1": 0.5, "K2": -0.8, "K3": 14, "K4": 1.2} {
		for name, k := range map[string]float64{"36": 36, "C4": 60, "C6": 84} {
			files["takes/"+voice+"_"+name+"_2026-11-02.wav"] = saw(key(k, cents))
		}
	}
	dir := scratch(t, files)
	rig := filepath.Join(dir, "rig.yaml")
	tuned := func(flags ...string) (r contract.Tune) {
		got := run(t, "", append([]string{"tune", rig, "--wav", filepath.Join(dir, "takes"), "--write", "-o", filepath.Join(dir, "tune.json")}, flags...)...)
		require.Equal(t, exitFine, got.status, got.stderr)
		data, err := os.ReadFile(filepath.Join(dir, "tune.json"))
		require.NoError(t, err)
		require.NoError(t, json.Unmarshal(data, &r))
		return r
	}
	r := tuned()

	require.Len(t, r.Recordings, 12)
	require.Equal(t, []string{"K3"}, r.Banks[0].Odd)
	require.Equal(t, "K3", r.Turns[0].Voice)
	require.Equal(t, []any{"offset", "down", true}, []any{r.Turns[0].Trimmer, r.Turns[0].Direction, r.Turns[0].Needed})
	require.InDelta(t, 14, r.Turns[0].Cents, 0.1)
	require.InDelta(t, 261.63, r.Turns[0].ToHertz, 0.01)          // C4, CRC Handbook
	require.InDelta(t, 1.3, r.Unisons[0].Before.ApartCents, 0.05) // 0.5 − −0.8
	require.InDelta(t, 12.8, r.Unisons[1].Before.ApartCents, 0.05)
	require.Len(t, r.Corrections, 3)
	require.True(t, r.Voices[2].ByHand)

	for name, k := range map[string]float64{"36": 36, "C4": 60, "C6": 84} { // turned down by 14 cents
		require.NoError(t, os.WriteFile(filepath.Join(dir, "takes", "K3_"+name+"_2026-11-02.wav"), []byte(saw(key(k, 0.1))), 0o600))
	}
	require.NoError(t, os.WriteFile(rig, []byte(tunedWall), 0o600))
	r = tuned()
	for _, v := range r.Voices { // what 95 % stay within; of three readings the worst is 637 times what they leave
		require.Less(t, v.Budget.LikelyAfter, v.Budget.LikelyBefore)
		require.True(t, v.Budget.AssumedAfter) // one day says nothing of drift
	}
	require.InDelta(t, 0, r.Unisons[1].After.ApartCents, 0.1)

	written, err := os.ReadFile(rig)
	require.NoError(t, err)
	rest, corrections, found := strings.Cut(string(written), "\ncorrections:\n")
	require.True(t, found)
	require.Equal(t, tunedWall, rest)
	require.Equal(t, 4, strings.Count(corrections, "measured: 2026-11-02"))

	// read once more through what was written, nothing is taken back: the same
	// recordings are no news, and others are asked about
	require.Len(t, tuned().Corrections, 4)
	for name, k := range map[string]float64{"36": 36, "C4": 60, "C6": 84} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, "takes", "K2_"+name+"_2026-11-02.wav"), []byte(saw(key(k, 0))), 0o600))
	}
	r = tuned()
	require.True(t, r.Voices[1].Unsaid)
	require.Len(t, r.Corrections, 3)
	require.False(t, tuned("--through", "corrections").Voices[1].Unsaid)

	// measured again, the map rests on it: of the tuning error drift is left, 2·√(2² + 0.1²·4/3)
	require.Contains(t, run(t, "", "check", rig).stdout, "tuning error (4.0 cents)")
	require.Contains(t, run(t, "", "check", filepath.Join(scratch(t, map[string]string{"r.yaml": tunedWall}), "r.yaml")).stdout, "may-swap] (assumed")
}

// TestTuneStatus: what is refused, and what is left undone then.
func TestTuneStatus(t *testing.T) {
	dir := scratch(t, map[string]string{
		"rig.yaml":           tunedWall,
		"r.csv":              "voice,key,hertz\nK1,36,65.5\nK1,60,262\nK1,84,1047\n",
		"bad.csv":            "voice,key,hertz\nK9,36,65.5\n",
		"r.txt":              "",
		"takes/K1_60.wav":    saw(261.6),
		"takes/K1_72.wav":    "RIFF",
		"none/K1_60.wav":     "",
		"empty/readings.txt": "",
		"comment.yaml":       tunedWall + "corrections:\n  K1:\n    measured: 2026-01-01 # by ear\n",
	})
	at := func(name string) string { return filepath.Join(dir, name) }
	for _, c := range []struct {
		name   string
		args   []string
		status int
		stderr string
	}{
		{"fine", []string{at("rig.yaml"), at("r.csv")}, 0, ""},
		{"no readings", []string{at("rig.yaml")}, 2, "choirloft: want a rig file and a file of readings, or --wav with a folder of them, or --take and --wav with a recording of a take; got DIR/rig.yaml\n    see choirloft tune --help\n"},
		{"another ending", []string{at("rig.yaml"), at("r.txt")}, 2, "choirloft: DIR/r.txt: the ending \".txt\" names no readings, there are .csv and .yaml\n"},
		{"a missing file", []string{at("rig.yaml"), at("no.csv")}, 2, "choirloft: DIR/no.csv: there is no such file\n"},
		{"a faulty reading", []string{at("rig.yaml"), at("bad.csv")}, 2, "DIR/bad.csv:2:1: reading 1.voice: found the voice \"K9\", want K1 to K4, or a number from 1 to 4\n"},
		{"no tolerance", []string{at("rig.yaml"), at("r.csv"), "--within", "0"}, 2, "choirloft: --within 0: want cents above 0, up to 100\n"},
		{"no folder", []string{at("rig.yaml"), "--wav", at("nowhere")}, 2, "choirloft: DIR/nowhere: no such file or directory\n"},
		{"no recordings", []string{at("rig.yaml"), "--wav", at("empty")}, 2, "choirloft: DIR/empty: no recording in the folder, want files such as K1_60.wav\n"},
		{"none of use", []string{at("rig.yaml"), "--wav", at("none")}, 2, "choirloft: DIR/none: none of 1 recordings can be used; K1_60.wav: byte 0: the file ends\n"},
		{"one of no use", []string{at("rig.yaml"), "--wav", at("takes")}, 2, ""},
		{"a comment in the way", []string{at("comment.yaml"), at("r.csv"), "--write"}, 2, "choirloft: DIR/comment.yaml: a comment in line 9 is in the way; write this by hand: corrections: {K1: {offset: -2.29 mV, scale: 1.00034, residual: 0.67 cents, readings: [0 V, 2 V, 4 V], inputs: 1, multiples: 0}}\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			before, err := os.ReadFile(at("rig.yaml"))
			require.NoError(t, err)
			got := run(t, "", append([]string{"tune"}, c.args...)...)
			require.Equal(t, c.stderr, strings.ReplaceAll(got.stderr, dir, "DIR"))
			require.Equal(t, c.status, got.status)
			after, err := os.ReadFile(at("rig.yaml"))
			require.NoError(t, err)
			require.Equal(t, string(before), string(after), "nothing is written that nobody asked for")
		})
	}
}
