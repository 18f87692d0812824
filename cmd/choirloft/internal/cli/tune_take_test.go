package cli

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/midi"
	"choirloft/midi/corpora"
	"choirloft/profiles"
	"choirloft/routing/take/fake"
)

const takenWall = `rig: Wall   # ours
interfaces: {main: {profile: cv16-gate16, window: 0 V to 5 V, zero_key: 36}}
banks: {K: {voices: 3, kind: kiln}}   # one bank
`

// takenKind is measured by the take: 0.3 s.
const takenKind = "voices: {kiln: {profile: saw-lowpass, release: %s}} # kinds\n"

// playTake renders a take as sound, of voices that are so many cents sharp: see [fake.Wav].
func playTake(t *testing.T, song *midi.Song, sharp map[midi.Channel]float64) string {
	return playTakeAt(t, 16000, song, sharp)
}

// playTakeAt is the same at any rate.
func playTakeAt(_ *testing.T, rate float64, song *midi.Song, sharp map[midi.Channel]float64) string {
	return string(fake.Wav(rate, song, sharp))
}

// TestTuneTake: from a rig without measurements to one with, in two commands and a
// recording. What is written is the corrections and nothing else; a voice that is silent is named,
// and a recording that is of no use gets one sentence and writes nothing.
func TestTuneTake(t *testing.T) {
	dir := scratch(t, map[string]string{"rig.yaml": takenWall + fmt.Sprintf(takenKind, "2.4 s")})
	rig, mid, wav := filepath.Join(dir, "rig.yaml"), filepath.Join(dir, "take.mid"), filepath.Join(dir, "take.wav")
	got := run(t, "", "write", rig, "--take", "--short", "-o", mid)
	require.Equal(t, exitFine, got.status, got.stderr)
	data, err := os.ReadFile(mid)
	require.NoError(t, err)
	song, err := midi.Read(data, midi.Options{})
	require.NoError(t, err)

	play := func(sharp map[midi.Channel]float64) {
		require.NoError(t, os.WriteFile(wav, []byte(playTake(t, song, sharp)), 0o600))
	}
	play(map[midi.Channel]float64{0: 1.5, 1: -2, 2: 0.5})
	got = run(t, "", "tune", rig, "--take", mid, "--wav", wav, "--date", "2020-11-30", "--json", "--write")
	require.Equal(t, exitFine, got.status, got.stderr)
	var r contract.Took
	require.NoError(t, json.Unmarshal([]byte(got.stdout), &r))
	require.Len(t, r.Voices, 3)
	for i, cents := range []float64{1.5, -2, 0.5} {
		v := &r.Voices[i]
		require.Equal(t, "ok", v.State)
		require.Empty(t, v.Faults)
		require.InDelta(t, 0.3, *v.ReleaseS, 0.015)
		require.Len(t, v.Readings, 3)
		for _, m := range v.Readings {
			require.InDelta(t, cents, m.Cents, 0.15)
		}
	}
	written, err := os.ReadFile(rig)
	require.NoError(t, err)
	release := r.Releases[0]
	require.Equal(t, []any{"kiln", 3, 2.4, contract.FromRig, rig}, []any{release.Kind, release.Voices, release.RigS, release.Basis, *r.Written})
	require.InDelta(t, 0.3, release.MedianS, 0.015)
	rest, _, found := strings.Cut(string(written), "\ncorrections:\n")
	require.True(t, found)
	typed := fmt.Sprintf("%g ms, measured: [release]", 1000*release.MedianS)
	require.Equal(t, takenWall+fmt.Sprintf(takenKind, typed), rest)
	require.Contains(t, string(written), "measured: 2020-11-30")
	answers := answersOf(t, written)
	for i, cents := range []float64{1.5, -2, 0.5} {
		a := answers[i]
		require.InDelta(t, 0.3, a.Release.Seconds(), 0.015)
		require.InDelta(t, 0, float64(*a.Level), 0.2) // all alike
		require.Less(t, *a.Latency, time.Millisecond)
		require.Equal(t, "2020-11-30", a.Date)
		require.Equal(t, "2020-11-30", a.Tuning[0].Date)
		require.Len(t, a.Tuning[0].Keys, 3)
		require.InDelta(t, cents, float64(a.Tuning[0].Keys[1].Sharp), 0.15)
	}
	require.Equal(t, []string{"K1", "K2", "K3"}, r.Answers)

	// Another day: that of the first is kept, and drift is measured: 0.6 cents up in all
	// voices are 0.6/√2 from day to day.
	play(map[midi.Channel]float64{0: 2.1, 1: -1.4, 2: 1.1})
	got = run(t, "", "tune", rig, "--take", mid, "--wav", wav, "--date", "2020-12-01", "--write", "--all")
	require.Equal(t, exitFine, got.status, got.stderr)
	require.Contains(t, got.stdout, "Drift is measured on 2 days, of 3 voices: 0.4 to 0.4 cents from day to day")
	// √((4·2 + 3·2·0)/(4 + 3)) by t(0.9995, 7) = 5.41 and √((4·2 + 2·0.18)/(4 + 1)) by
	// t(0.9995, 5) = 6.87: what two days leave open is more than what they show.
	require.Regexp(t, `So few days leave it uncertain: at worst drift counts as 10\.\d cents`, got.stdout)
	second, err := os.ReadFile(rig)
	require.NoError(t, err)
	two := answersOf(t, second)
	for i := range two {
		require.Len(t, two[i].Tuning, 2)
		require.Equal(t, answers[i].Tuning[0], two[i].Tuning[0])
	}
	loaded, faults := profiles.Read("rig.yaml", second, nil)
	require.Empty(t, faults)
	for _, c := range loaded.Corrections {
		require.InDelta(t, 0.6/math.Sqrt2, float64(*c.Drift), 0.1)
		require.Equal(t, "2020-12-01", c.Measured)
	}
	head, _, found := strings.Cut(string(second), "\ncorrections:\n")
	require.True(t, found)
	require.Contains(t, head, "# one bank")
	got = run(t, "", "check", rig, "--json")
	require.NotContains(t, got.stdout, "release of kiln", "nothing of it is assumed")
	require.NotContains(t, got.stdout, "drift of kiln", "two days measured it")

	// The same recording again is in the rig already; under another date it is refused.
	got = run(t, "", "tune", rig, "--take", mid, "--wav", wav, "--date", "2020-12-01", "--write")
	require.Equal(t, exitFine, got.status, got.stderr)
	require.Contains(t, strings.Join(strings.Fields(got.stdout), " "), "says all of this already, so that nothing was left to write.")
	got = run(t, "", "tune", rig, "--take", mid, "--wav", wav, "--date", "2020-12-02")
	require.Equal(t, exitUsage, got.status)
	require.Contains(t, got.stderr, "every pitch is that of 2020-12-01, to a hundredth of a cent: this is the same recording")
	// Without a date what is known of the drift stays.
	got = run(t, "", "tune", rig, "--take", mid, "--wav", wav, "--all")
	require.Contains(t, got.stdout, "Drift is measured on 2 days")
	require.NotContains(t, got.stdout, "drift-unmeasured")

	play(map[midi.Channel]float64{0: 0, 2: 0}) // the second is unplugged
	got = run(t, "", "tune", rig, "--take", mid, "--wav", wav)
	require.Contains(t, got.stdout, "Wall: 1 of 3 voices does not answer as it should: K2.")
	require.Contains(t, got.stdout, "K2 does not sound. Look at its gate cable")

	require.NoError(t, os.WriteFile(filepath.Join(dir, "silent.wav"), []byte(playTake(t, song, nil)), 0o600))
	before, err := os.ReadFile(rig)
	require.NoError(t, err)
	tomorrow := time.Now().AddDate(0, 0, 1).Format(time.DateOnly)
	for _, c := range []struct{ args, want []string }{
		{[]string{"--take", mid, "--wav", filepath.Join(dir, "silent.wav")}, []string{"nothing sounds in the recording"}},
		{[]string{"--take", mid}, []string{"--take needs the recording of it"}},
		{[]string{"--wav", wav}, []string{"this is one file, and --wav reads a folder of notes"}},
		{[]string{"--take", mid, "--wav", dir}, []string{"no recording of K1 is here, want K1.wav"}},
		{[]string{"--take", wav, "--wav", wav}, []string{"take.wav"}},
		{[]string{"--take", mid, "--wav", mid}, []string{"not a WAV file"}},
		{[]string{"--take", mid, "--wav", wav, "--through", "nothing"}, []string{"--through and --take cannot go together"}},
		{[]string{"--take", mid, "--wav", wav, "--date", "today"}, []string{"want a date as in 2026-11-25"}},
		{[]string{"--take", mid, "--wav", wav, "--date", tomorrow}, []string{"--date " + tomorrow + ": that is after today"}},
		{[]string{demoSong, "--wav", wav}, []string{"this is a song, and a song goes with a take"}},
	} {
		got := run(t, "", append([]string{"tune", rig, "--write"}, c.args...)...)
		require.Equal(t, exitUsage, got.status, c.args)
		require.Contains(t, got.stderr, c.want[0])
	}
	after, err := os.ReadFile(rig)
	require.NoError(t, err)
	require.Equal(t, string(before), string(after))
}

// answersOf are what a rig says was measured of its voices.
func answersOf(t *testing.T, rig []byte) (all []*profiles.Answer) {
	t.Helper()
	read, faults := profiles.Read("rig.yaml", rig, nil)
	require.Empty(t, faults)
	for i := range read.Voices {
		require.NotNil(t, read.Voices[i].Answer, read.Voices[i].Name)
		all = append(all, read.Voices[i].Answer)
	}
	return all
}

// TestTuneTakeTrims: of a voice that must be turned by hand no pitch is written, and with
// --instead-of-trimming it is corrected, and no turn is asked for. A built-in kind gets its
// release without being named in the rig. Beside a song the answer says what it needs.
func TestTuneTakeTrims(t *testing.T) {
	corpora.Patient(t)
	dir := scratch(t, map[string]string{"rig.yaml": strings.Replace(takenWall, ", kind: kiln", "", 1)})
	rig, mid, wav := shortTake(t, dir, map[midi.Channel]float64{0: 0.5, 1: 40, 2: -0.5})
	args := []string{"tune", rig, demoSong, "--take", mid, "--wav", wav, "--date", "2020-11-30"}
	got := run(t, "", args...)
	require.Equal(t, exitFine, got.status, got.stderr)
	require.Contains(t, got.stdout, "1. K2, offset (tune): down by 40.0 cents.")
	require.Contains(t, got.stdout, "No pitch is written for K2: turn the trimmers by hand")
	require.Regexp(t, `Slow Kiln needs \d+ voices \(it was \d+\): every release tail rings out\.`, strings.Join(strings.Fields(got.stdout), " "))

	got = run(t, "", append(args, "--instead-of-trimming", "--write", "--json")...)
	require.Equal(t, exitFine, got.status, got.stderr)
	var r contract.Took
	require.NoError(t, json.Unmarshal([]byte(got.stdout), &r))
	require.Empty(t, r.Tuning.Turns)
	require.Len(t, r.Tuning.Corrections, 3)
	require.Less(t, r.Needs.After.Tails, r.Needs.Before.Tails) // of 1.5 s assumed and 0.3 s measured
	written, err := os.ReadFile(rig)
	require.NoError(t, err)
	read, faults := profiles.Read("rig.yaml", written, nil)
	require.Empty(t, faults)
	require.Equal(t, "saw-lowpass", read.Kinds[read.Banks[0].Kind].Name)
	require.InDelta(t, 0.3, read.Kinds[read.Banks[0].Kind].Envelope.Release.Seconds(), 0.015)
	require.Equal(t, []profiles.Measurable{profiles.MeasuredRelease}, read.Kinds[read.Banks[0].Kind].Measured)
	require.Len(t, answersOf(t, written)[1].Tuning, 1)
}

// TestTuneTakeThrough: a take that went through the corrections verifies them, and makes none.
func TestTuneTakeThrough(t *testing.T) {
	corpora.Patient(t)
	dir := scratch(t, map[string]string{"rig.yaml": takenWall + fmt.Sprintf(takenKind, "2.4 s") + "corrections: {K1: {offset: 4 mV}}\n", "take.wav": ""})
	rig, mid := filepath.Join(dir, "rig.yaml"), filepath.Join(dir, "take.mid")
	require.Equal(t, exitFine, run(t, "", "write", rig, "--take", "--short", "--only", "K1,K2", "--through", "-o", mid).status)
	data, err := os.ReadFile(mid)
	require.NoError(t, err)
	song, err := midi.Read(data, midi.Options{})
	require.NoError(t, err)
	wav := filepath.Join(dir, "take.wav")
	require.NoError(t, os.WriteFile(wav, []byte(playTake(t, song, map[midi.Channel]float64{0: 0.2, 1: 0.1})), 0o600))
	got := run(t, "", "tune", rig, "--take", mid, "--wav", wav)
	require.Equal(t, exitFine, got.status, got.stderr)
	require.Contains(t, got.stdout, "Wall: all 2 voices answer in their place. Through the corrections 2 of 2 voices")
	require.NotContains(t, got.stdout, "Turn, in this order")
	require.Equal(t, exitFine, run(t, "", "tune", rig, "--take", mid, "--wav", wav, "--verify").status)
	require.Contains(t, got.stdout, "Nothing is written: the take went through the corrections, and verifies them.")
	require.Equal(t, exitUsage, run(t, "", "tune", rig, "--take", mid, "--wav", wav, "--write").status)

	require.NoError(t, os.WriteFile(wav, []byte(playTake(t, song, map[midi.Channel]float64{0: 0.2, 1: -8})), 0o600))
	got = run(t, "", "tune", rig, "--take", mid, "--wav", wav, "--verify")
	require.Contains(t, strings.Join(strings.Fields(got.stdout), " "), "Through the corrections 1 of 2 voices")
	require.Regexp(t, `K2 is -[78]\.\d cents off at [A-G]#?\d \(\d+\), through its correction\.`, got.stdout)
	require.Equal(t, exitFine, run(t, "", "write", rig, "--take", "--short", "--only", "K1,K2", "-o", mid, "--yes").status)
	got = run(t, "", "tune", rig, "--take", mid, "--wav", wav, "--verify")
	require.Equal(t, exitUsage, got.status)
	require.Contains(t, got.stderr, "--verify: this take went through no corrections")
}

// TestTuneTakeFolder: recordings of one take, one a voice or one a submixer, are read as
// one mix is, and the rig says what they came through. Those that do not belong together
// are refused.
func TestTuneTakeFolder(t *testing.T) {
	corpora.Patient(t)
	dir := scratch(t, map[string]string{"rig.yaml": takenWall + fmt.Sprintf(takenKind, "2.4 s")})
	rig, mid := filepath.Join(dir, "rig.yaml"), filepath.Join(dir, "take.mid")
	require.Equal(t, exitFine, run(t, "", "write", rig, "--take", "--short", "-o", mid).status)
	data, err := os.ReadFile(mid)
	require.NoError(t, err)
	song, err := midi.Read(data, midi.Options{})
	require.NoError(t, err)
	alone, banks := filepath.Join(dir, "alone"), filepath.Join(dir, "banks")
	sharp := map[midi.Channel]float64{0: 1, 1: -1, 2: 0}
	for _, folder := range []string{alone, banks} {
		require.NoError(t, os.Mkdir(folder, 0o700))
	}
	for channel, cents := range sharp {
		name := filepath.Join(alone, fmt.Sprintf("K%d.wav", channel+1))
		require.NoError(t, os.WriteFile(name, []byte(playTake(t, song, map[midi.Channel]float64{channel: cents})), 0o600))
	}
	require.NoError(t, os.WriteFile(filepath.Join(banks, "K.WAV"), []byte(playTake(t, song, sharp)), 0o600))
	old, err := os.ReadFile(rig)
	require.NoError(t, err)
	for _, c := range []struct {
		args []string
		path profiles.SoundPath
	}{{[]string{alone}, profiles.PathAlone}, {[]string{banks, "--bank"}, profiles.PathBank}} {
		require.NoError(t, os.WriteFile(rig, old, 0o600))
		got := run(t, "", append([]string{"tune", rig, "--take", mid, "--write", "--wav"}, c.args...)...)
		require.Equal(t, exitFine, got.status, got.stderr)
		require.Contains(t, got.stdout, "all 3 voices answer in their place")
		written, err := os.ReadFile(rig)
		require.NoError(t, err)
		for _, a := range answersOf(t, written) {
			require.Equal(t, c.path, a.Path)
			require.InDelta(t, 0.3, a.Release.Seconds(), 0.015)
			require.InDelta(t, 0, float64(*a.Level), 0.2)
		}
	}
	got := run(t, "", "tune", rig, "--take", mid, "--wav", banks)
	require.Contains(t, got.stderr, "no recording of K1 is here, want K1.wav")
	got = run(t, "", "tune", rig, "--take", mid, "--bank", "--wav", filepath.Join(alone, "K1.wav"))
	require.Contains(t, got.stderr, "--bank is for a folder")
	require.NoError(t, os.WriteFile(filepath.Join(alone, "K2.wav"), []byte(playTake(t, song, sharp)[:200_000]), 0o600))
	got = run(t, "", "tune", rig, "--take", mid, "--wav", alone)
	require.Equal(t, exitUsage, got.status)
	require.Regexp(t, `one recording lasts \S+, another \S+`, got.stderr)
}

// TestTuneTakePicture: a lane a voice, as SVG, PNG and in PDF; without a take there is none.
func TestTuneTakePicture(t *testing.T) {
	corpora.Patient(t)
	dir := scratch(t, map[string]string{"rig.yaml": takenWall + fmt.Sprintf(takenKind, "2.4 s")})
	rig, mid, wav := shortTake(t, dir, map[midi.Channel]float64{0: 1, 2: -1})
	for ending, begins := range map[string]string{".svg": "<svg", ".png": "\x89PNG", ".pdf": "%PDF"} {
		out := filepath.Join(dir, "picture"+ending)
		got := run(t, "", "tune", rig, "--take", mid, "--wav", wav, "-o", out)
		require.Equal(t, exitFine, got.status, got.stderr)
		drawn, err := os.ReadFile(out)
		require.NoError(t, err)
		require.Contains(t, string(drawn[:min(200, len(drawn))]), begins)
		if ending == ".svg" {
			for _, want := range []string{">K1<", ">K2<", ">silent<", "asked: higher keys", "heard where it was asked"} {
				require.Contains(t, string(drawn), want)
			}
		}
	}
	got := run(t, "", "tune", demoRig, "testdata/kiln-yard-readings.csv", "-o", filepath.Join(dir, "none.svg"))
	require.Equal(t, exitUsage, got.status)
	require.Contains(t, got.stderr, "a picture is of a take")
}

// TestTuneTakeKilled: whenever a run that writes is killed, the rig is the old one or the
// new one, and the next run finds it so.
func TestTuneTakeKilled(t *testing.T) {
	corpora.Patient(t)
	t.Parallel()
	old := takenWall + fmt.Sprintf(takenKind, "2.4 s")
	dir := scratch(t, map[string]string{"rig.yaml": old})
	rig, mid, wav := shortTake(t, dir, map[midi.Channel]float64{0: 1, 1: -1, 2: 0})
	tune := func() *exec.Cmd {
		return exec.Command("choirloft", "tune", rig, "--take", mid, "--wav", wav, "--date", "2020-11-30", "--write")
	}
	began := time.Now()
	said, err := tune().CombinedOutput()
	require.NoError(t, err, string(said))
	takes := time.Since(began)
	renewed, err := os.ReadFile(rig)
	require.NoError(t, err)
	require.NotEqual(t, old, string(renewed))
	for range rounds(t) {
		require.NoError(t, os.WriteFile(rig, []byte(old), 0o600))
		cmd := tune()
		require.NoError(t, cmd.Start())
		time.Sleep(takes/2 + rand.N(takes))
		cmd.Process.Kill()
		cmd.Wait()
		said, err := exec.Command("choirloft", "check", rig, "-o", filepath.Join(dir, "next.txt")).CombinedOutput()
		require.NoError(t, err, string(said))
		got, err := os.ReadFile(rig)
		require.NoError(t, err)
		require.Contains(t, []string{old, string(renewed)}, string(got))
	}
}

// TestTuneTakeStops: a run that is told to end while it reads ends, and writes nothing.
func TestTuneTakeStops(t *testing.T) {
	dir := scratch(t, map[string]string{"rig.yaml": takenWall + fmt.Sprintf(takenKind, "2.4 s")})
	rig, mid, wav := shortTake(t, dir, map[midi.Channel]float64{0: 1, 1: -1, 2: 0})
	before, err := os.ReadFile(rig)
	require.NoError(t, err)
	ctx, cancel := context.WithCancel(t.Context())
	time.AfterFunc(50*time.Millisecond, cancel)
	var out bytes.Buffer
	require.Equal(t, exitFailed, Run(ctx, []string{"tune", rig, "--take", mid, "--wav", wav, "--write"}, nil, &out, &out), out.String())
	after, err := os.ReadFile(rig)
	require.NoError(t, err)
	require.Equal(t, string(before), string(after))
}

// shortTake writes a short take of the rig in a folder, and a recording of it by voices that
// are so many cents sharp.
func shortTake(t *testing.T, dir string, sharp map[midi.Channel]float64) (rig, mid, wav string) {
	t.Helper()
	rig, mid, wav = filepath.Join(dir, "rig.yaml"), filepath.Join(dir, "take.mid"), filepath.Join(dir, "take.wav")
	require.Equal(t, exitFine, run(t, "", "write", rig, "--take", "--short", "-o", mid).status)
	data, err := os.ReadFile(mid)
	require.NoError(t, err)
	song, err := midi.Read(data, midi.Options{})
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(wav, []byte(playTake(t, song, sharp)), 0o600))
	return rig, mid, wav
}

// TestTakeOfSomeVoices: voices go by name in any case, several in a row, or by bank.
func TestTakeOfSomeVoices(t *testing.T) {
	dir := scratch(t, map[string]string{"rig.yaml": "rig: Wall\ninterfaces: {main: {profile: cv16-gate16, window: 0 V to 5 V, zero_key: 36}}\nbanks: {K: {voices: 4}, L: {voices: 2}}\n"})
	rig := filepath.Join(dir, "rig.yaml")
	for only, want := range map[string]string{"k1, L2": "2 voices", "K2-K4": "3 voices", "l": "2 voices", "K,L": "6 voices"} {
		got := run(t, "", "write", rig, "--take", "--short", "--only", only, "-o", filepath.Join(dir, "take.mid"), "--yes")
		require.Equal(t, exitFine, got.status, got.stderr)
		require.Contains(t, got.stdout, want, only)
	}
	got := run(t, "", "write", rig, "--take", "--only", "K1, K9", "-o", filepath.Join(dir, "none.mid"))
	require.Equal(t, exitUsage, got.status)
	require.Contains(t, got.stderr, "--only K9: the rig has no such voice, want K1 to L2")
}
