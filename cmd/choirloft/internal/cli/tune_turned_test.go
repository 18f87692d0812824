package cli

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/midi"
	"choirloft/midi/corpora"
	"choirloft/profiles"
)

// turnedTake is a wall of four voices with a short take of it: days are played and read.
type turnedTake struct {
	t             *testing.T
	rig, mid, wav string
	song          *midi.Song
}

func newTurnedTake(t *testing.T) *turnedTake {
	dir := scratch(t, map[string]string{"rig.yaml": strings.Replace(takenWall, "voices: 3, kind: kiln", "voices: 4", 1)})
	d := &turnedTake{t: t, rig: filepath.Join(dir, "rig.yaml"), mid: filepath.Join(dir, "take.mid"), wav: filepath.Join(dir, "take.wav")}
	require.Equal(t, exitFine, run(t, "", "write", d.rig, "--take", "--short", "-o", d.mid).status)
	data, err := os.ReadFile(d.mid)
	require.NoError(t, err)
	d.song, err = midi.Read(data, midi.Options{})
	require.NoError(t, err)
	return d
}

// day records the take with voices so many cents sharp.
func (d *turnedTake) day(sharp ...float64) {
	by := map[midi.Channel]float64{}
	for i, cents := range sharp {
		by[midi.Channel(i)] = cents
	}
	require.NoError(d.t, os.WriteFile(d.wav, []byte(playTake(d.t, d.song, by)), 0o600))
}

// tune reads it; what is printed comes without its line breaks.
func (d *turnedTake) tune(args ...string) (got call, text string) {
	got = run(d.t, "", append([]string{"tune", d.rig, "--take", d.mid, "--wav", d.wav}, args...)...)
	return got, strings.Join(strings.Fields(got.stdout), " ")
}

// kept are the days of each voice that the rig keeps, and its drift, NaN where it has none.
func (d *turnedTake) kept() (days [][]string, drift []float64) {
	data, err := os.ReadFile(d.rig)
	require.NoError(d.t, err)
	rig, faults := profiles.Read("rig.yaml", data, nil)
	require.Empty(d.t, faults)
	for i := range rig.Voices {
		days, drift = append(days, nil), append(drift, math.NaN())
		if a := rig.Voices[i].Answer; a != nil {
			for _, day := range a.Tuning {
				days[i] = append(days[i], day.Date)
			}
		}
		for _, c := range rig.Corrections {
			if c.Voice == i && c.Drift != nil {
				drift[i] = float64(*c.Drift)
			}
		}
	}
	return days, drift
}

// TestTuneTurned: values written with --instead-of-trimming, then a trimmer turned by hand,
// then a second day. The turn is no drift: it is asked after, nothing is written until it
// is answered, and the days of that voice begin anew.
func TestTuneTurned(t *testing.T) {
	corpora.Patient(t)
	d := newTurnedTake(t)
	const first, second, third = "2020-11-28", "2020-11-29", "2020-11-30"
	d.day(0.4, 16, -0.3, 0.2)
	got, text := d.tune("--date", first, "--write", "--instead-of-trimming")
	require.Equal(t, exitFine, got.status, got.stderr)
	require.Contains(t, text, "leave the trimmers of K2. If you turn one later, say --turned with the next readings.")

	d.day(0.6, 0.1, -0.2, 0.1)
	before, err := os.ReadFile(d.rig)
	require.NoError(t, err)
	got, text = d.tune("--date", second)
	require.Equal(t, exitFine, got.status, got.stderr)
	// Moves of 0.2, −15.9, 0.1 and −0.1: the median is 0.
	require.Regexp(t, `K2 moved by -1(5\.[89]|6\.0) cents from 2020-11-28 to 2020-11-29, the others by [+-]?0\.[01]: more than drift explains\. Were trimmers turned\? Say --turned K2, or --turned none\.`, text)
	got, _ = d.tune("--date", second, "--write")
	require.Equal(t, exitUsage, got.status)
	require.Contains(t, got.stderr, "say --turned K2 for trimmers that were turned, so that these days begin anew, or --turned none")
	after, err := os.ReadFile(d.rig)
	require.NoError(t, err)
	require.Equal(t, string(before), string(after))

	// It drifts, says the player: two days 15.9 apart are 15.9/√2 = 11.2 from day to day.
	got, text = d.tune("--date", second, "--write", "--turned", "none")
	require.Equal(t, exitFine, got.status, got.stderr)
	require.Contains(t, text, "You say that no trimmer was turned, so it counts as drift.")
	days, drift := d.kept()
	require.Equal(t, []string{first, second}, days[1])
	require.InDelta(t, 15.9/math.Sqrt2, drift[1], 0.3)

	// It was turned, says the player.
	require.NoError(t, os.WriteFile(d.rig, before, 0o600))
	got, text = d.tune("--date", second, "--write", "--turned", "k2")
	require.Equal(t, exitFine, got.status, got.stderr)
	require.NotContains(t, text, "more than drift explains")
	require.Contains(t, text, "The days of K2 begin anew with this one, since a trimmer was turned. A further day measures the drift.")
	days, drift = d.kept()
	require.Equal(t, [][]string{{first, second}, {second}, {first, second}, {first, second}}, days)
	require.True(t, math.IsNaN(drift[1]))
	for _, voice := range []int{0, 2, 3} {
		require.Less(t, drift[voice], 0.3)
	}

	checked := strings.Join(strings.Fields(run(t, "", "check", d.rig).stdout), " ")
	require.Contains(t, checked, "read on one day only: K2")

	// A third day measures it: 0.4 cents are 0.4/√2.
	d.day(0.5, 0.5, -0.1, 0.1)
	got, text = d.tune("--date", third, "--write")
	require.Equal(t, exitFine, got.status, got.stderr)
	require.NotContains(t, text, "more than drift explains")
	days, drift = d.kept()
	require.Equal(t, []string{second, third}, days[1])
	require.InDelta(t, 0.4/math.Sqrt2, drift[1], 0.1)

	got, _ = d.tune("--turned", "K9")
	require.Equal(t, exitUsage, got.status)
	require.Contains(t, got.stderr, "--turned K9: the rig has no such voice, want K1 to K4, or none alone")
}

// TestTuneToldToTurn: of a voice that a day tells to turn, the days before it are dropped, so
// that the turn is no drift and nobody is asked after it.
func TestTuneToldToTurn(t *testing.T) {
	corpora.Patient(t)
	d := newTurnedTake(t)
	const first, second, third = "2020-11-28", "2020-11-29", "2020-11-30"
	d.day(0.4, 0.1, -0.3, 0.2)
	got, _ := d.tune("--date", first, "--write")
	require.Equal(t, exitFine, got.status, got.stderr)
	d.day(0.5, 8, -0.2, 0.1) // knocked
	got, text := d.tune("--date", second, "--write")
	require.Equal(t, exitFine, got.status, got.stderr)
	require.Contains(t, text, "No pitch is written for K2: turn the trimmers by hand, then measure again.")
	require.Contains(t, text, "Its drift takes two days after the turn: days before it do not count.")
	require.NotContains(t, text, "more than drift explains")
	days, drift := d.kept()
	require.Less(t, drift[0], 0.3)
	require.Equal(t, [][]string{{first, second}, nil, {first, second}, {first, second}}, days)
	checked := strings.Join(strings.Fields(run(t, "", "check", d.rig).stdout), " ")
	require.Contains(t, checked, "a take measured K2, and wrote no pitch of it")
	d.day(0.6, 0.2, -0.1, 0.1)
	got, _ = d.tune("--date", third, "--write", "--json")
	require.Equal(t, exitFine, got.status, got.stderr)
	var r contract.Took
	require.NoError(t, json.Unmarshal([]byte(got.stdout), &r))
	require.Empty(t, r.Jumps)
	require.False(t, r.Tuning.TurnedSaid)
	days, _ = d.kept()
	require.Equal(t, []string{third}, days[1])
}

// TestTuneTurnedReadings: a table of two days asks as well before it writes.
func TestTuneTurnedReadings(t *testing.T) {
	// 16 cents are a factor of 2^(16/1200) = 1.00929: 65.406, 261.626 and 1046.502 Hz are C2, C4 and C6.
	const table = "voice,key,hertz,date\nK1,36,66.014,2020-11-28\nK1,60,264.055,2020-11-28\nK1,84,1056.219,2020-11-28\n" +
		"K1,36,65.406,2020-11-29\nK1,60,261.626,2020-11-29\nK1,84,1046.502,2020-11-29\n"
	dir := scratch(t, map[string]string{"rig.yaml": takenWall + "voices: {kiln: {profile: saw-lowpass}}\n", "read.csv": table})
	rig, readings := filepath.Join(dir, "rig.yaml"), filepath.Join(dir, "read.csv")
	got := run(t, "", "tune", rig, readings, "--write", "--through", "nothing")
	require.Equal(t, exitUsage, got.status)
	require.Contains(t, got.stderr, "--write: K1 moved by -16.0 cents from 2020-11-28 to 2020-11-29, and drift explains up to 9.9")
	got = run(t, "", "tune", rig, readings, "--through", "nothing")
	require.Contains(t, strings.Join(strings.Fields(got.stdout), " "), "if its trimmer was turned, say --turned K1: its days begin anew.")
	got = run(t, "", "tune", rig, readings, "--write", "--through", "nothing", "--turned", "K1")
	require.Equal(t, exitFine, got.status, got.stderr)
	require.Contains(t, strings.Join(strings.Fields(got.stdout), " "), "Days before the last one are left out for K1, since a trimmer was turned.")
	written, err := os.ReadFile(rig)
	require.NoError(t, err)
	require.NotContains(t, string(written), "drift:")
}
