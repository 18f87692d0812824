package live

import (
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing"
	"choirloft/routing/deal"
	"choirloft/routing/plan"
)

// rigs are those of testdata, and some whose voices have jacks in common.
func rigs(t *testing.T) map[string]*profiles.Rig {
	t.Helper()
	all := map[string]*profiles.Rig{}
	for _, pattern := range []string{"../../testdata/*.yaml", "../../testdata/rigs/*.yaml"} {
		files, err := filepath.Glob(pattern)
		require.NoError(t, err)
		for _, file := range files {
			rig, err := profiles.Load(file)
			require.NoError(t, err)
			all[filepath.Base(file)] = rig
		}
	}
	require.Greater(t, len(all), 8)
	const wired = "rig: R\ninterfaces: {main: {profile: cv8-gate8}}\nbanks: {K: {voices: 4}}\n"
	const stacked = "parts: {p: {unison: {voices: 2, spread: 20 cents, when_short: blocks}}}\n"
	const pitch, gate = "  - {from: main.cv 1, to: [K1.pitch, K2.pitch]}\n", "  - {from: main.gate 1, to: [K1.gate, K2.gate]}\n"
	for name, text := range map[string]string{
		"apart": wired + "wiring:\n" + pitch, "gates apart": wired + "wiring:\n" + gate,
		"half normal": wired + "wiring:\n  - {from: main.cv 7, to: K1.pitch, normal: half}\n  - {from: main.gate 7, to: K1.gate, normal: full}\n",
		"one stack":   wired + stacked + "wiring:\n" + pitch, "one gate": wired + stacked + "wiring:\n" + gate, "both": wired + stacked + "wiring:\n" + pitch + gate,
	} {
		rig, faults := profiles.Read(name, []byte(text), nil)
		require.Empty(t, faults)
		all[name] = rig
	}
	return all
}

// Voices on one pitch jack are one voice in all of these, whatever their parts ask for.
//
// For every rig the map, what is dealt, what is played live and CVs agree on jacks, channels and
// cents. Where check finds no error in its jacks neither refuses it, and where voices that play apart have a
// jack in common each does.
func TestMapDealLiveAndCVAgree(t *testing.T) {
	data, err := os.ReadFile("../../testdata/slow-kiln.mid")
	require.NoError(t, err)
	song, err := midi.Read(data, midi.Options{})
	require.NoError(t, err)
	dealt := 0
	for name, rig := range rigs(t) {
		t.Run(name, func(t *testing.T) {
			p, err := plan.Build(rig, plan.Overrides{})
			require.NoError(t, err)
			shared := slices.ContainsFunc(p.Findings, func(f routing.Finding) bool { return f.Code == routing.GateShared })
			if shared {
				worst, _ := routing.Worst(p.Findings)
				require.Equal(t, routing.Error, worst)
			}
			d, dealErr := deal.New(p, song, deal.Options{})
			s, liveErr := New(p, Options{})
			require.Equal(t, dealErr == nil, liveErr == nil, "%v; %v", dealErr, liveErr)
			if shared {
				require.Error(t, dealErr)
				_, err = deal.NewCV(p, song, deal.CVOptions{Rate: 48000})
				require.Error(t, err)
				return
			}
			cv, err := deal.NewCV(p, song, deal.CVOptions{Rate: 48000})
			if slices.ContainsFunc(rig.Interfaces, func(f profiles.Interface) bool { return f.Gate.STrig }) {
				require.ErrorContains(t, err, "S-trig") // which no CV is
				cv = &deal.CV{}
			} else {
				require.NoError(t, err)
			}
			jacks := map[routing.Outlet]bool{}
			for _, ch := range cv.Channels {
				require.False(t, jacks[ch.Outlet], "%s stands in the CVs twice", ch.Name)
				jacks[ch.Outlet] = true
			}
			for i := range p.Map.Voices {
				for _, input := range []string{"pitch", "gate"} {
					if l := p.Map.Voices[i].Lane(input); p.Rules.Config.Voices[i].State.InService() && l != nil && l.Fits() && slices.ContainsFunc(cv.Channels, func(c deal.CVChannel) bool { return c.Name == l.Name }) {
						require.True(t, jacks[l.Outlet], l.Name)
					}
				}
			}
			if dealErr != nil {
				require.Equal(t, profiles.Audio, rig.Interfaces[0].Link, dealErr) // which has no channels
				return
			}
			dealt++
			taken := map[deal.Home]bool{}
			for _, l := range d.Passes[0].Lanes {
				v := &p.Map.Voices[l.Voice]
				require.Equal(t, l.Home, s.lanes[l.Voice].home)
				require.False(t, taken[l.Home], "%s has the channel of another", rig.Voices[l.Voice].Name)
				taken[l.Home] = true
				on := v.Lane("gate") // what is struck opens the gate; or moves the pitch, where another voice opens it
				if on.Channel != l.Home.Channel {
					opens, ok := deal.HomeOf(rig, &on.Outlet)
					require.True(t, ok && taken[opens], "%s", on.Name)
					on = v.Lane("pitch")
				}
				require.Equal(t, on.Channel, l.Home.Channel)
				require.Equal(t, on.Interface, l.Home.Interface)
				tune := deal.NewTuner(p, l.Voice, l.Home)
				corrections := routing.Corrections(rig)
				for _, k := range v.Keys {
					want := routing.CorrectedPitch(&rig.Interfaces[l.Home.Interface], rig.A4, &corrections[l.Voice], float64(k.Key))
					if rig.Interfaces[l.Home.Interface].Tuning == profiles.TuningOwn {
						continue
					}
					require.InDelta(t, want, tune.Sent(float64(k.Key)), 1e-9)
					require.InDelta(t, want, s.lanes[l.Voice].tune.Sent(float64(k.Key)), 1e-9)
				}
			}
		})
	}
	require.Greater(t, dealt, 8)
}
