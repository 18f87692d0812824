package say

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/profiles"
	"choirloft/routing/plan"
)

// ways are those of full.yaml to wire its sequencer, each written in its place.
var ways = []string{"pitches: group, gates: multiples", "pitches: multiples, gates: multiples", "pitches: group, gates: or", "pitches: multiples, gates: or"}

// Every cable of every set-up has one name on the schedule, on its flag and in the moves,
// and comes out of the same jack: over every rig in testdata that has set-ups, wired in
// each way, and with a second set-up of the sequencer.
func TestScheduleFlagsAndMovesAgree(t *testing.T) {
	files, err := filepath.Glob("../../../../testdata/rigs/*.yaml")
	require.NoError(t, err)
	tried := 0
	for _, file := range files {
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		if !strings.Contains(string(text), "\nset_ups:") {
			continue
		}
		for _, way := range ways {
			rig, faults := profiles.Read(file, []byte(strings.Replace(string(text), ways[0], way, 1)+
				"  late: {from: seq, parts: {1: M, 2: [N, K]}, "+way+"}\n"), nil)
			require.Empty(t, faults)
			p, err := plan.Build(rig, plan.Overrides{})
			require.NoError(t, err)
			agree(t, contract.NewSheet(p))
			tried++
		}
	}
	require.GreaterOrEqual(t, tried, len(ways))
}

// agree compares what a sheet says of each cable in its three places.
func agree(t *testing.T, s *contract.Sheet) {
	require.GreaterOrEqual(t, len(s.Changes), 6) // between each two of three
	schedule := map[[2]string]string{}           // the set-ups of a cable and where it leads
	for _, row := range newChart(s.Map).schedule().Groups[0].Rows {
		schedule[[2]string{row[0], row[2]}] = row[3]
	}
	flags := map[[2]string]bool{}
	for _, l := range CableLabels(s.Map) {
		flags[[2]string{l.Name, strings.TrimPrefix(l.Ends[0].Below, "to ")}] = true
	}
	for at := range schedule {
		of, input := splitInput(at[1])
		on := of + " " + input
		if of == "" {
			on = at[1]
		}
		require.True(t, flags[[2]string{at[0], on}], "flag of %v: %s", at, on)
	}
	for _, r := range s.Changes {
		for _, moves := range []struct {
			list  []contract.RepatchCable
			setUp string
		}{{r.Pulls, r.From}, {r.Plugs, r.To}} {
			for _, c := range moves.list {
				found := ""
				for at, in := range schedule {
					leads := at[1] == c.To || strings.HasPrefix(c.ToPanel, "multiple ") && at[1] == "multiple of "+c.Cable ||
						at[1] == c.ToPanel || at[1] == c.ToPanel+" "+c.To ||
						strings.HasPrefix(c.ToPanel, "gate-OR ") && at[1] == strings.TrimPrefix(c.ToPanel, "gate-OR ")+strings.TrimPrefix(c.To, "in ")+".gate"
					if at[0] == c.Cable && leads {
						found += " " + in
					}
				}
				require.Truef(t, strings.Contains(found, moves.setUp) || strings.Contains(found, "all"), "%s to %s: %+v, found %q", r.From, r.To, c, found)
			}
		}
	}
}
