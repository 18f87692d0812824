package say

import (
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing"
	"choirloft/routing/deal"
	"choirloft/routing/plan"
)

// For every rig of testdata the door says what MIDI that is dealt does, and CVs: of every
// voice the jacks, port and channel, and the cents that its notes are bent by. That live agrees
// with what is dealt is tested where live is.
func TestDoorAgreesWithWhatIsDealt(t *testing.T) {
	data, err := os.ReadFile("../../../../testdata/slow-kiln.mid")
	require.NoError(t, err)
	song, err := midi.Read(data, midi.Options{})
	require.NoError(t, err)
	dealt, detuned, jacks := 0, 0, 0
	for _, pattern := range []string{"../../../../testdata/*.yaml", "../../../../testdata/rigs/*.yaml"} {
		files, err := filepath.Glob(pattern)
		require.NoError(t, err)
		require.NotEmpty(t, files)
		for _, file := range files {
			t.Run(filepath.Base(file), func(t *testing.T) {
				rig, err := profiles.Load(file)
				require.NoError(t, err)
				p, err := plan.Build(rig, plan.Overrides{})
				require.NoError(t, err)
				printed := doorOf(contract.NewMap(p))
				require.Len(t, printed, len(rig.Voices))
				if cv, err := deal.NewCV(p, song, deal.CVOptions{Rate: 48000}); err == nil {
					jacks += doorHasJacksOf(t, p, cv, printed)
				}
				d, err := deal.New(p, song, deal.Options{})
				if err != nil {
					require.Equal(t, profiles.Audio, rig.Interfaces[0].Link, err) // which has no channels
					return
				}
				dealt++
				for i := range d.Passes[0].Lanes {
					l := &d.Passes[0].Lanes[i]
					require.Contains(t, strings.Split(printed[l.Voice].Address, apart), addressOf(rig, l.Home), rig.Voices[l.Voice].Name)
					detuned += bentAsPrinted(t, d, l, &printed[l.Voice])
				}
			})
		}
	}
	require.Greater(t, dealt, 8)
	require.Greater(t, detuned, 500)
	require.Greater(t, jacks, 100)
}

// doorOf are the voices on the door of a map, in its order.
func doorOf(m *contract.Map) (all []DoorVoice) {
	for _, l := range NewDoor(m).Lines {
		all = append(all, l.Voices...)
	}
	return all
}

// doorHasJacksOf compares the jacks of pitches and gates, and says how many there are.
func doorHasJacksOf(t *testing.T, p *plan.Plan, cv *deal.CV, printed []DoorVoice) (compared int) {
	for _, ch := range cv.Channels {
		at := slices.IndexFunc(p.Map.Voices, func(v routing.Voice) bool {
			l := v.Lane(ch.Input)
			return l != nil && l.Name == ch.Name
		})
		if at < 0 || ch.Input != "pitch" && ch.Input != "gate" {
			continue
		}
		want := strconv.Itoa(ch.Outlet.Jack)
		if box := ch.Outlet.Interface; box > 0 {
			want = p.Rig.Interfaces[box].Name + ":" + map[string]string{"pitch": "cv", "gate": "gt"}[ch.Input] + want
		}
		require.Equal(t, want, map[string]string{"pitch": printed[at].Pitch, "gate": printed[at].Gate}[ch.Input], ch.Name)
		compared++
	}
	return compared
}

// addressOf is port and channel, from 1, of the interface's own ports, behind the name of a further one.
func addressOf(rig *profiles.Rig, h deal.Home) string {
	port := int(h.Port) + 1
	for i := range h.Interface {
		port -= rig.Interfaces[i].Ports
	}
	text := strconv.Itoa(port) + "." + strconv.Itoa(int(h.Channel)+1)
	if h.Interface > 0 {
		return rig.Interfaces[h.Interface].Name + " " + text
	}
	return text
}

// bentAsPrinted compares the bend at the start of each note of a voice with the detune on the
// door, where that is one for all notes that have their whole unison and are in range, and says of how many it is not 0. An interface that
// was told adds it by itself. What the correction asks for comes on top.
func bentAsPrinted(t *testing.T, d *deal.Deal, l *deal.Lane, v *DoorVoice) (detuned int) {
	p, want, of := d.Plan, 0.0, 1
	switch cents := v.Detune; {
	case len(cents) > 1 || len(cents) == 1 && len(strings.Fields(cents[0].Cents)) != 2: // by part
		return 0
	case len(cents) == 1 && !strings.HasSuffix(cents[0].Cents, " ¢"): // by note
		return 0
	case len(cents) == 1:
		var err error
		want, err = strconv.ParseFloat(strings.TrimSuffix(cents[0].Cents, " ¢"), 64)
		require.NoError(t, err)
		of = p.Map.Voices[l.Voice].Seats[0].Of
	}
	tune := deal.NewTuner(p, l.Voice, l.Home)
	own := p.Rig.Interfaces[l.Home.Interface].Tuning == profiles.TuningOwn
	for _, n := range l.Notes {
		if o := &d.Passes[0].Replay.Outcomes[n.ID]; o.Voices != of || o.Missed != 0 { // clamped
			continue
		}
		at := slices.IndexFunc(l.Bends, func(m deal.Move) bool { return m.Tick > n.On })
		if at < 0 {
			at = len(l.Bends)
		}
		key := float64(n.Key)
		sent := tune.Sent(key + want/100)
		if own {
			sent = key
		}
		require.InDelta(t, 100*(sent-key), 100*l.Bends[at-1].Value, 0.051, "%s at %d", v.Name, n.On)
		if math.Abs(want) > 0.1 {
			detuned++
		}
	}
	return detuned
}
