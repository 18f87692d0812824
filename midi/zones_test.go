package midi

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Two zones share the sixteen channels of a port; the one that is set has what it
// asks for, and the other keeps what is left, with a manager of its own or not at
// all (M1-100-UM). Worked by hand: each row is what is set, lower above 0 and upper
// below, and then who manages each channel: 0 the lower manager, F the upper, a
// dot nobody.
func TestZones(t *testing.T) {
	for _, row := range []struct {
		set  []int
		want string
	}{
		{nil, "................"},
		{[]int{3}, "0000............"},
		{[]int{-3}, "............FFFF"},
		{[]int{15}, "0000000000000000"},
		{[]int{-15}, "FFFFFFFFFFFFFFFF"},
		{[]int{3, -3}, "0000........FFFF"},
		{[]int{7, -7}, "00000000FFFFFFFF"},
		{[]int{7, -8}, "0000000FFFFFFFFF"},
		{[]int{-7, 8}, "000000000FFFFFFF"},
		{[]int{-1, 13}, "00000000000000FF"},
		{[]int{-1, 14}, "000000000000000."},
		{[]int{-1, 15}, "0000000000000000"},
		{[]int{5, 2}, "000............."},
	} {
		var begin []Zone
		for _, members := range row.set {
			begin = append(begin, Zone{AnyPort: true, Upper: members < 0, Members: max(members, -members)})
		}
		began := NewZones(begin)
		set := NewZones([]Zone{{Port: 9, Members: 1}}) // on another port, but RPN 6 counts
		for _, z := range begin {
			require.True(t, set.Set(4, map[bool]Channel{true: 15}[z.Upper], z.Members))
		}
		for _, at := range []PortZones{began.On(4), set.On(4)} {
			got := []byte("................")
			for c := range Channel(16) {
				if m, ok := at.Manager(c); ok {
					got[c] = map[Channel]byte{0: '0', 15: 'F'}[m]
				}
			}
			require.Equal(t, row.want, string(got), "%v", row.set)
			for m := range Channel(16) {
				first, end := at.Members(m)
				for c := range Channel(16) {
					manager, ok := at.Manager(c)
					require.Equal(t, ok && manager == m && c != m, first <= c && c < end, "%v: %d of %d", row.set, c, m)
				}
			}
		}
	}
	none := NewZones(nil)
	require.False(t, none.Set(0, 0, 3), "nobody plays per-note channels")
	require.Equal(t, PortZones{}, none.On(0))
	z := NewZones([]Zone{{AnyPort: true, Members: 3}})
	require.False(t, z.Set(0, 1, 5), "only channels 0 and 15 are managers")
	require.True(t, z.Set(0, 0, 0))
	require.Equal(t, PortZones{}, z.On(0))
	require.Equal(t, PortZones{Lower: 3}, z.On(1))
}

// TestZonesSet: what a song sets before its first note and keeps, by the sums of
// [TestZones]. A change with the notes, on channel 2 or on another port is none.
func TestZonesSet(t *testing.T) {
	set := func(channel Channel, members uint16) Step {
		return Step{Kind: StepZone, Channel: channel, Value: members}
	}
	note := Step{Kind: StepNoteOn, Channel: 1, Key: 60, Value: 64}
	elsewhere := set(0, 3)
	elsewhere.Port = 1
	for _, row := range []struct {
		steps []Step
		want  []Zone
	}{
		{[]Step{note}, nil},
		{[]Step{set(0, 7), note}, []Zone{{Members: 7}}},
		{[]Step{set(0, 15), set(15, 7), note}, []Zone{{Members: 7}, {Upper: true, Members: 7}}},
		{[]Step{set(0, 7), set(0, 0), note}, nil},
		{[]Step{set(1, 7), elsewhere, note}, nil},
		{[]Step{set(0, 7), note, set(0, 7), note}, []Zone{{Members: 7}}},
		{[]Step{set(0, 7), note, set(0, 6)}, nil},
		{[]Step{note, set(0, 7), note}, nil},
	} {
		require.Equal(t, row.want, ZonesSet(row.steps, 0), "%v", row.steps)
	}
	require.Equal(t, uint16(0x00FF), Zone{Members: 7}.Channels(), "manager 1 and members 2-8")
	require.Equal(t, uint16(0xE000), Zone{Upper: true, Members: 2}.Channels(), "manager 16 and members 15 and 14")
	require.Equal(t, uint16(0xFFFF), Zone{Members: 15}.Channels())
}
