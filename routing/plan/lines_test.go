package plan_test

import (
	"encoding/binary"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/midi"
	"choirloft/midi/corpora"
	"choirloft/profiles"
	"choirloft/routing"
	"choirloft/routing/plan"
)

// played is a note as a test writes it, in ticks.
type played struct {
	track, channel int
	key            midi.Key
	start, end     int64
}

// songOf makes a file of format 1 of notes, 96 ticks a quarter, with the names of
// its tracks, and reads it.
func songOf(t *testing.T, names []string, notes ...played) *midi.Song {
	file := []byte("MThd\x00\x00\x00\x06\x00\x01\x00")
	file = append(file, byte(len(names)), 0, 96)
	for track, name := range names {
		data := append([]byte{0, 0xFF, 3, byte(len(name))}, name...)
		var events []played // with their tick under start; those that end under -1
		for _, n := range notes {
			if n.track == track {
				events = append(events, n, played{n.track, n.channel, n.key, n.end, -1})
			}
		}
		slices.SortStableFunc(events, func(a, b played) int { return int(a.start - b.start) })
		at := int64(0)
		for _, e := range events {
			delta := e.start - at
			at = e.start
			status := 0x90 | byte(e.channel-1)
			if e.end < 0 {
				status ^= 0x10
			}
			data = append(data, 0x80|byte(delta>>7), byte(delta)&0x7F, status, byte(e.key), 64)
		}
		data = append(data, 0, 0xFF, 0x2F, 0)
		file = binary.BigEndian.AppendUint32(append(file, "MTrk"...), uint32(len(data)))
		file = append(file, data...)
	}
	song, err := midi.Read(file, midi.Options{})
	require.NoError(t, err)
	require.Empty(t, song.Warnings.List)
	return song
}

// hands is a bass of eight notes that follow each other on keys from low on, under
// eight chords of two keys from high on.
func hands(low, high midi.Key) []played {
	var notes []played
	for i := range int64(8) {
		notes = append(notes, played{0, 1, low + midi.Key(i%2), 96 * i, 96*i + 90},
			played{0, 1, high, 96 * i, 96*i + 96}, played{0, 1, high + 3, 96 * i, 96*i + 96})
	}
	return notes
}

func line(p plan.Proposal) []string {
	var all []string
	for i := range p.Lines {
		l, text := &p.Lines[i], p.Options.Parts[i].Name
		if l.Split() {
			text += fmt.Sprintf(" %d-%d", l.Zone.Low, l.Zone.High)
		}
		if l.Single() {
			text += " mono"
		}
		if l.Twin >= 0 {
			text += " as " + p.Options.Parts[l.Twin].Name
		}
		all = append(all, text)
	}
	return all
}

// TestLines: either side of each threshold. A bass on keys 40 and 41 under chords
// from key 48 leaves a fifth (48 - 41 = 7), from 47 less. Chords of two keys below
// and above are split from an octave on (60 - 48 = 12).
func TestLines(t *testing.T) {
	both := func(high midi.Key) []played { // chords on 45 and 48, and on high and high+3
		var notes []played
		for i := range int64(8) {
			for _, key := range []midi.Key{45, 48, high, high + 3} {
				notes = append(notes, played{0, 1, key, 96 * i, 96*i + 96})
			}
		}
		return notes
	}
	apart := func(gap int64) []played { // the chords begin when the bass has ended
		notes := hands(40, 60)
		for i := range notes {
			if notes[i].key >= 60 {
				notes[i].start += 8*96 + gap
				notes[i].end += 8*96 + gap
			}
		}
		return notes
	}
	for _, row := range []struct {
		name  string
		notes []played
		want  []string
	}{
		{"a bass a fifth below chords", hands(40, 48), []string{"keys-low 0-44 mono", "keys-high 45-127"}},
		{"a bass a tritone below them", hands(40, 47), []string{"keys"}},
		{"chords an octave apart", both(60), []string{"keys-low 0-53", "keys-high 54-127"}},
		{"chords a major seventh apart", both(59), []string{"keys"}},
		{"first the bass, then chords", apart(0), []string{"keys"}},
		{"the last bass note under the first chord", apart(-96), []string{"keys-low 0-50 mono", "keys-high 51-127"}},
		{"a note under two", hands(40, 48)[:3], []string{"keys"}},
		{"one note", []played{{0, 1, 60, 0, 96}}, []string{"keys"}},
		{"notes end to end", []played{{0, 1, 60, 0, 96}, {0, 1, 62, 96, 192}}, []string{"keys mono"}},
		{"notes a tick over each other", []played{{0, 1, 60, 0, 97}, {0, 1, 62, 96, 192}}, []string{"keys"}},
		{"the same on two channels", []played{{0, 1, 60, 0, 96}, {1, 2, 60, 0, 96}}, []string{"keys", "more as keys"}},
		{"nearly the same", []played{{0, 1, 60, 0, 96}, {1, 2, 60, 0, 95}}, []string{"keys", "more"}},
	} {
		p, err := plan.Propose(songOf(t, []string{"keys", "more"}, row.notes...), profiles.StarterOptions{})
		require.NoError(t, err)
		require.Equal(t, row.want, line(p), row.name)
		checkProposal(t, p)
	}
}

// TestSplitShare: of 32 notes a side has 8, a quarter, or 7 of 29 and so less.
func TestSplitShare(t *testing.T) {
	for bass, want := range map[int64][]string{8: {"keys-low 0-49 mono", "keys-high 50-127"}, 7: {"keys"}} {
		var notes []played
		for i := range int64(8) {
			if i < bass {
				notes = append(notes, played{0, 1, 40, 96 * i, 96*i + 90})
			}
			for key := range midi.Key(3) {
				notes = append(notes, played{0, 1, 60 + key, 96 * i, 96*i + 96})
			}
		}
		p, err := plan.Propose(songOf(t, []string{"keys"}, notes...), profiles.StarterOptions{})
		require.NoError(t, err)
		require.Equal(t, want, line(p), "%d of %d", bass, len(notes))
	}
}

// TestNamesOfParts: after tracks, as a name may be; a track of two channels names
// neither.
func TestNamesOfParts(t *testing.T) {
	for _, row := range []struct {
		names []string
		want  []string
	}{
		{[]string{"Lead  Synth\a 1", "Lead Synth 1"}, []string{"Lead-Synth-1", "Lead-Synth-1-2"}},
		{[]string{"K1", "C2"}, []string{"part-K1", "part-C2"}},
		{[]string{"\x1b[31m", "12"}, []string{"m", "part"}},
		{[]string{strings.Repeat("long ", 15), strings.Repeat("x", 90)},
			[]string{"long-long-long-long-long-long-long-long", strings.Repeat("x", 40)}},
		{[]string{"", "null"}, []string{"channel-1", "null"}},
	} {
		song := songOf(t, row.names, played{0, 1, 60, 0, 96}, played{1, 2, 64, 0, 96})
		p, err := plan.Propose(song, profiles.StarterOptions{})
		require.NoError(t, err)
		require.Equal(t, row.want, line(p))
		checkProposal(t, p)
	}
	p, err := plan.Propose(songOf(t, []string{"A whole song"}, played{0, 1, 60, 0, 96}, played{0, 2, 64, 0, 96}), profiles.StarterOptions{})
	require.NoError(t, err)
	require.Equal(t, []string{"channel-1", "channel-2"}, line(p))
}

// checkProposal holds a proposal to a rig without faults and without findings, whose
// parts are called as proposed.
func checkProposal(t *testing.T, p plan.Proposal) {
	t.Helper()
	data := profiles.Starter(p.Options)
	rig, faults := profiles.Read("song.yaml", data, nil)
	require.Empty(t, faults, "%s", data)
	for i := range p.Lines {
		require.Equal(t, p.Options.Parts[i].Name, rig.Parts[i].Name)
		require.Equal(t, p.Lines[i].Single(), rig.Parts[i].Mode == profiles.MonoLast)
	}
	made, err := plan.Build(rig, plan.Overrides{})
	require.NoError(t, err)
	for _, f := range made.Findings {
		require.Greater(t, f.Severity, routing.Error, "%s: %s", f.Code, f.Text)
	}
}

// naive are the notes of each channel, from its keys alone. Left out are channels
// with pedals, mode messages and notes of no length, which take more than that.
func naive(song *midi.Song) map[[2]int][]played {
	events := slices.Clone(song.Events)
	on := func(e midi.Event) bool { return e.Kind() == midi.NoteOn && e.Data2 > 0 }
	slices.SortStableFunc(events, func(a, b midi.Event) int {
		switch {
		case a.Tick != b.Tick:
			return int(a.Tick - b.Tick)
		case on(a) == on(b):
			return 0
		case on(b):
			return -1
		}
		return 1
	})
	notes, odd := map[[2]int][]played{}, map[[2]int]bool{}
	type held struct{ note, count int }
	down := map[[3]int]held{}
	for _, e := range events {
		at := [2]int{int(e.Port), int(e.Channel())}
		key := [3]int{at[0], at[1], int(e.Data1)}
		d, is := down[key]
		switch {
		case e.Kind() == midi.ControlChange && slices.Contains([]uint8{64, 66, 120, 123, 124, 125, 126, 127}, e.Data1):
			odd[at] = odd[at] || e.Data2 > 0 || e.Data1 >= 120
		case on(e):
			if is {
				notes[at][d.note].end = int64(e.Tick)
			}
			odd[at] = odd[at] || is && notes[at][d.note].start == int64(e.Tick)
			notes[at] = append(notes[at], played{channel: at[1], key: midi.Key(e.Data1), start: int64(e.Tick), end: 1 << 62})
			down[key] = held{len(notes[at]) - 1, d.count + 1}
		case is && (e.Kind() == midi.NoteOff || e.Kind() == midi.NoteOn):
			if d.count--; d.count > 0 {
				down[key] = d
				continue
			}
			delete(down, key)
			notes[at][d.note].end = int64(e.Tick)
			odd[at] = odd[at] || notes[at][d.note].start == int64(e.Tick)
		}
	}
	for at := range odd {
		if odd[at] {
			delete(notes, at)
		}
	}
	return notes
}

// clash tells whether a note of one list sounds while another of the other does.
func clash(a, b []played, same bool) bool {
	for i, x := range a {
		for j, y := range b {
			if (!same || i != j) && x.start < y.end && y.start < x.end {
				return true
			}
		}
	}
	return false
}

// sides are the notes below and above the widest free keys that make a split, the
// lowest of two as wide; nil where there are none.
func sides(notes []played) (low, high []played) {
	var used [128]bool
	for _, n := range notes {
		used[n.key] = true
	}
	widest := 0
	for bottom := range midi.Key(128) {
		for top := bottom + 7; top < 128; top++ {
			if !used[bottom] || !used[top] || slices.Contains(used[bottom+1:top], true) {
				continue
			}
			var a, b []played
			for _, n := range notes {
				if n.key <= bottom {
					a = append(a, n)
				}
				if n.key >= top {
					b = append(b, n)
				}
			}
			gap := int(top - bottom)
			if gap <= widest || 4*len(a) < len(notes) || 4*len(b) < len(notes) || !clash(a, b, false) {
				continue
			}
			single := len(a) > 1 && !clash(a, a, true)
			if gap >= 12 || single != (len(b) > 1 && !clash(b, b, true)) {
				low, high, widest = a, b, gap
			}
		}
	}
	return low, high
}

// TestProposalsOfTheCorpora: the songs of simutrans-data 123.0.1-1 and of
// openttd-openmsx 0.4.2-1. Each proposed rig passes, and splits and single lines
// are those of a look at every pair of notes.
func TestProposalsOfTheCorpora(t *testing.T) {
	songs, compared, singles, splits := 0, 0, 0, 0
	for _, file := range corpora.Songs(t) {
		data, err := os.ReadFile(file)
		require.NoError(t, err)
		song, err := midi.Read(data, midi.Options{})
		require.NoError(t, err, file)
		p, err := plan.Propose(song, profiles.StarterOptions{})
		require.NoError(t, err, file)
		checkProposal(t, p)
		songs++
		all := naive(song)
		for i := range p.Lines {
			l := &p.Lines[i]
			notes, ok := all[[2]int{int(l.Port), int(l.Channel)}]
			if !ok {
				continue
			}
			compared++
			low, high := sides(notes)
			require.Equal(t, low != nil, l.Split(), "%s channel %s", file, l.Channel)
			if low != nil {
				splits++
				notes = low
				if l.Zone.Low > 0 {
					notes = high
				}
			}
			require.Len(t, notes, l.Notes, "%s channel %s", file, l.Channel)
			single := len(notes) > 1 && !clash(notes, notes, true)
			require.Equal(t, single, l.Single(), "%s channel %s", file, l.Channel)
			if single {
				singles++
			}
		}
	}
	t.Log(songs, "songs,", compared, "lines compared,", singles, "single,", splits, "sides of splits")
	require.Equal(t, 84, songs)
	require.Greater(t, compared, 250)
	require.Greater(t, singles, 100)
	require.GreaterOrEqual(t, splits, 4)
}
