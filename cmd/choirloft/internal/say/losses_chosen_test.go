package say

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/doc"
)

// lost is a song that lost so many notes of arp, of which some are heard, and plays some at
// the wrong pitch.
func lost(n, heard, wrong int) *contract.Replay {
	v := &contract.Replay{Rig: "Wall"}
	v.Parts = []contract.Part{{Name: "pad"}, {Name: "arp"}}
	v.Heard = &contract.Heard{}
	add := func(heard bool, flag *string) {
		one := &contract.HeardOne{Kind: "end", Flag: flag}
		if heard {
			one.HeardDB = new(2.0)
			v.Heard.Order = append(v.Heard.Order, len(v.Losses))
		}
		v.Losses = append(v.Losses, contract.Loss{Part: "arp", KeyName: "C4", Ending: "held_cut", HeardOne: one})
	}
	for i := range n {
		add(i < heard, nil)
	}
	for range wrong {
		add(true, new(contract.FlagWrongPitch))
	}
	return v
}

// What is chosen of the losses is counted, those at the wrong pitch apart.
func TestChosenLossesAreCounted(t *testing.T) {
	for _, c := range []struct {
		n, heard, wrong int
		of              contract.LossFilter
		says            string
		rows            int
	}{
		{0, 0, 0, contract.LossFilter{}, "No loss.", 0},
		{0, 0, 2, contract.LossFilter{}, "No loss. Besides, 2 notes at the wrong pitch.", 0},
		{0, 0, 2, contract.LossFilter{Kind: "wrong_pitch"}, "2 losses, wrong pitch; you would hear all. The most heard first:", 2},
		{1, 1, 0, contract.LossFilter{}, "1 loss; you would hear it:", 1},
		{7, 3, 0, contract.LossFilter{Part: "arp"}, "7 losses of arp; you would hear 3. The first 5, the most heard first:", 5},
		{5, 0, 1, contract.LossFilter{}, "5 losses; you would hear none. Besides, 1 note at the wrong pitch. The most heard first:", 5},
		{5, 5, 0, contract.LossFilter{Part: "arp", Kind: "held_cut"}, "5 losses of arp, stolen while held; you would hear all. The most heard first:", 5},
		{5, 5, 0, contract.LossFilter{Part: "pad"}, "No loss of pad.", 0},
	} {
		v := lost(c.n, c.heard, c.wrong)
		list := v.Choose(c.of)
		d := Chosen(v, list, 5)
		require.Equal(t, c.says, d.Blocks[0].(doc.Paragraph).Text)
		rows := 0
		if len(d.Blocks) > 1 {
			rows = len(d.Blocks[1].(doc.Table).Groups[0].Rows)
		}
		require.Equal(t, c.rows, rows)
		parts, kinds := LossChoices(list)
		require.Len(t, parts, 3, "all, and each part")
		require.Equal(t, "pad (0)", parts[1].Label)
		require.Regexp(t, `^every kind \(\d+\)$`, kinds[0].Label)
	}
	v := lost(2, 0, 0)
	v.Heard = nil
	require.Equal(t, "2 losses. The worst first:", chosenLine(v, v.Choose(contract.LossFilter{}), 5), "nobody listened")
	require.Equal(t, fmt.Sprint([]string{"late", "stolen while held", "other"}), fmt.Sprint([]string{LossKindLabel("late"), LossKindLabel("held_cut"), LossKindLabel("other")}))
}

// Of the losses that are heard the first few stand alone, and those at the wrong pitch, which no
// voice would cure, are none of them.
func TestMostHeard(t *testing.T) {
	for _, c := range []struct{ n, heard, wrong, rows, more int }{{0, 0, 2, 0, 0}, {9, 0, 0, 0, 0}, {9, 2, 1, 2, 0}, {9, 3, 0, 3, 0}, {9, 5, 3, 3, 2}} {
		v := lost(c.n, c.heard, c.wrong)
		d := MostHeard(v, 3)
		if c.rows == 0 {
			require.Empty(t, d.Blocks, c)
			continue
		}
		rows := d.Blocks[0].(doc.Table).Groups[0]
		require.Len(t, rows.Rows, c.rows, c)
		require.Equal(t, "loss 0", rows.About[0])
		if c.more == 0 {
			require.Len(t, d.Blocks, 1, c)
			continue
		}
		require.Equal(t, doc.Aside{Text: fmt.Sprintf("You would hear %d more: see Losses.", c.more)}, d.Blocks[1])
	}
	v := lost(9, 5, 0)
	v.Heard = nil // nobody has listened
	require.Empty(t, MostHeard(v, 3).Blocks)
}
