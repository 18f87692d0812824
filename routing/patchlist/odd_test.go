package patchlist_test

import (
	"encoding/binary"
	"slices"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/stretchr/testify/require"

	"choirloft/profiles"
	"choirloft/routing/patchlist"
)

// wide is a text in UTF-16 with its byte order mark.
func wide(order binary.AppendByteOrder, text string) []byte {
	var data []byte
	for _, unit := range utf16.Encode([]rune("\uFEFF" + text)) {
		data = order.AppendUint16(data, unit)
	}
	return data
}

// rigLines are the lines of a rig that a table decides: from banks on, without
// comments, and the interfaces.
func rigLines(data []byte) []string {
	var all []string
	section := ""
	for line := range strings.Lines(string(data)) {
		text, _, _ := strings.Cut(line, "#")
		text = strings.TrimRight(text, " \n")
		if text != "" && text[0] != ' ' {
			section = text
		}
		if strings.TrimSpace(text) != "" && section != "voices:" && !strings.HasPrefix(text, "rig:") && text != section {
			all = append(all, strings.TrimSpace(strings.ReplaceAll(text, ", kind: own", "")))
		}
	}
	return all
}

// read gives all that is said of a table: the lines of its rig, what was said and
// what could not be read.
func read(t *testing.T, data []byte) []string {
	t.Helper()
	l, err := patchlist.Read(data)
	if err != nil {
		return []string{"error: " + err.Error()}
	}
	made, said, err := l.Rig(profiles.StarterOptions{Name: "Odd"})
	require.NoError(t, err)
	_, faults := profiles.Read("odd.yaml", made, nil)
	require.Empty(t, faults, "%s", made)
	all := rigLines(made)
	for _, s := range append(l.Said, said...) {
		all = append(all, "said: "+s)
	}
	for _, c := range l.Cells {
		all = append(all, "cell: "+c.String())
	}
	return all
}

// simple is a bank of two voices in order, as the tests vary it.
const simple = "Bank,Voice,Pitch jack,Gate jack\nK,1,1,1\nK,2,2,2\n"

var inOrder = []string{"main:", "profile: cv4-gate4", "K: {voices: 2}"}

// TestOddTables: what spreadsheets write, and what people do in them.
func TestOddTables(t *testing.T) {
	for _, row := range []struct {
		name string
		data []byte
		want []string
	}{
		{"as it should be", []byte(simple), inOrder},
		{"semicolons", []byte(strings.ReplaceAll(simple, ",", ";")), inOrder},
		{"tabs", []byte(strings.ReplaceAll(simple, ",", "\t")), inOrder},
		{"bars", []byte(strings.ReplaceAll(simple, ",", "|")), inOrder},
		{"carriage returns and line feeds", []byte(strings.ReplaceAll(simple, "\n", "\r\n")), inOrder},
		{"carriage returns alone", []byte(strings.ReplaceAll(simple, "\n", "\r")), inOrder},
		{"no line end at the end", []byte(strings.TrimSpace(simple)), inOrder},
		{"a byte order mark", []byte("\uFEFF" + simple), inOrder},
		{"UTF-16, low byte first", wide(binary.LittleEndian, simple), inOrder},
		{"UTF-16, high byte first", wide(binary.BigEndian, simple), inOrder},
		{"quotes", []byte("\"Bank\",\"Voice\",\"Pitch, jack\",\"Gate\njack\"\n\"K\",\"1\",\"1\",\"1\"\n\"K\",\"2\",\"2\",\"2\"\n"), inOrder},
		{"blank lines and empty rows", []byte("\n\nBank,Voice,Pitch jack,Gate jack\n,,,\n\nK,1,1,1\n\n,,,\nK,2,2,2\n\n"), inOrder},
		{"titles above the heads", []byte("The wall\nPatched 2 November,,\nsep=,\n" + simple), inOrder},
		{"heads in another order and other words", []byte("GATE OUT;CV;Nr.;bank name;colour\n1;1;1;K;red\n2;2;2;K;red\n"), inOrder},
		{"heads spelt wrong", []byte("Bnak,Voise,Pich jack,Gaet jack\nK,1,1,1\nK,2,2,2\n"), inOrder},
		{"heads again on a further page", []byte(simple + "Bank,Voice,Pitch jack,Gate jack\nK,3,3,3\n"),
			[]string{"main:", "profile: cv4-gate4", "K: {voices: 3}"}},
		{"numbers with decimals, a point or a comma", []byte("Bank;Voice;Pitch;Gate\nK;1,0;1,00;1.0\nK;2,0;02;2\n"), inOrder},
		{"the bank on its first row alone", []byte("Bank,Voice,CV,Gate\nK,1,1,1\n,2,2,2\nL,1,3,3\n,2,4,4\n"),
			[]string{"main:", "profile: cv4-gate4", "K: {voices: 2}", "L: {voices: 2}",
				"said: Row 3: bank empty, read as K, as the row above.", "said: Row 5: bank empty, read as L, as the row above."}},
		{"the bank as a title", []byte("Voice,CV,Gate,Bank\n,,,Bank K\n1,1,1,\n2,2,2,\n"), inOrder},
		{"voices by name, without banks", []byte("Voice,CV,Gate\nK1,1,1\nK2,2,2\nL1,3,3\n"),
			[]string{"main:", "profile: cv4-gate4", "K: {voices: 2}", "L: {voices: 1}"}},
		{"numbers that run through the banks", []byte("Bank,Voice,CV,Gate\nK,1,1,1\nK,2,2,2\nL,3,3,3\nL,4,4,4\n"),
			[]string{"main:", "profile: cv4-gate4", "K: {voices: 2}", "L: {voices: 2}",
				"said: The numbers of voices run through all banks; in a rig each bank counts from 1."}},
		{"banks with numbers", []byte("Bank,Voice,CV,Gate\n1,1,1,1\n2,1,2,2\n"),
			[]string{"main:", "profile: cv4-gate4", "K: {voices: 1}", "L: {voices: 1}",
				`said: Bank "1" is called K here: a bank's name begins with a letter and ends in no digit.`,
				`said: Bank "2" is called L here: a bank's name begins with a letter and ends in no digit.`}},
		{"no column of voices", []byte("Bank,CV,Gate\nK,1,1\nK,2,2\n"), inOrder},
		{"jacks out of order", []byte("Bank,Voice,CV,Gate\nK,1,2,1\nK,2,1,2\n"),
			[]string{"main:", "profile: cv4-gate4", "K: {voices: 2}", "K1.pitch: main.cv 2", "K2.pitch: main.cv 1"}},
		{"a jack twice", []byte("Bank,Voice,CV,Gate\nK,1,1,1\nK,2,1,2\n"),
			[]string{"main:", "profile: cv4-gate4", "K: {voices: 2}", "- {from: main.cv 1, through: passive, to: [K1.pitch, K2.pitch]}",
				"said: main cv 1 stands at K1.pitch and K2.pitch: read as a passive multiple."}},
		{"missing rows", []byte("Bank,Voice,CV,Gate\nK,1,1,1\nK,3,3,3\n"),
			[]string{"main:", "profile: cv4-gate4", "K: {voices: 3, out: [2]}", "said: No row for K2, so out of service here."}},
		{"missing cells", []byte("Bank,Voice,CV,Gate\nK,1,,1\nK,2,2\nK,,3,3\n"),
			[]string{"main:", "profile: cv4-gate4", "K: {voices: 3}",
				"said: No pitch jack for K1 in the table, so free ones are taken.", "said: No gate jack for K2 in the table, so free ones are taken.",
				"cell: row 4, column B (Voice): the voice is missing, read as voice 3 of bank K"}},
		{"a voice twice", []byte(simple + "K,2,3,3\n"), append(slices.Clone(inOrder), "cell: row 4: this voice stands in row 3 already, so this row is left out")},
		{"cells of nonsense", []byte("Bank,Voice,CV,Gate\nK,1,left,1\nK,2,2,gate -2\nK,lead,3,3\nK,4,0,9999\nTotal,,,\n"), []string{
			"main:",
			"profile: cv4-gate4",
			"gate:",
			"profile: cv4-gate4",
			"K: {voices: 4, out: [3]}",
			"K2.gate: gate.gate 2",
			"K2.pitch: main.cv 2",
			"said: No row for K3, so out of service here.",
			"said: No pitch jack for K1 and K4 in the table, so free ones are taken.",
			"said: No gate jack for K4 in the table, so free ones are taken.",
			`cell: row 2, column C (CV): found "left", want a jack such as 5, cv 5 or main.gate 5`,
			`cell: row 4, column B (Voice): found "lead", want a number or a voice such as K3`,
			`cell: row 5, column C (CV): found "0", want a jack from 1 to 1024`,
			`cell: row 5, column D (Gate): found "9999", want a jack from 1 to 1024`,
		}},
		{"states, keys and notes", []byte("Bank,Voice,CV,Gate,State,Keys,Notes\nK,1,1,1,ok,,\"drifts, \"\"a lot\"\"\"\nK,2,2,2,broken,C2-C5,\nK,3,3,3,spare,,\nK,4,4,4,sad,5-1,\n"), []string{
			"main:",
			"profile: cv4-gate4",
			"K: {voices: 4, out: [2], spare: [3], limited: {2: 36-72}}",
			`cell: row 5, column E (State): found "sad", want in, out, spare or limited`,
			`cell: row 5, column F (Keys): found "5-1", want the lower key first`,
		}},
		{"two interfaces", []byte("Bank,Voice,Box,CV,Gate\nK,1,Left box,1,1\nL,1,right,1,1\n"), []string{
			"Left-box:",
			"profile: cv4-gate4",
			"right:",
			"profile: cv4-gate4",
			"K: {voices: 1}",
			"L: {voices: 1}",
			"L1.pitch: right.cv 1",
			"L1.gate: right.gate 1",
		}},
		{"jacks with their interface", []byte("Bank,Voice,CV,Gate\nK,1,left.cv 1,left.gate 1\nL,1,right:cv1,right gate 1\n"), []string{
			"left:",
			"profile: cv4-gate4",
			"right:",
			"profile: cv4-gate4",
			"K: {voices: 1}",
			"L: {voices: 1}",
			"L1.pitch: right.cv 1",
			"L1.gate: right.gate 1",
		}},
		{"channels of their own", []byte("Bank,Voice,CV,Gate,MIDI ch,Port\nK,1,1,1,1,1\nK,2,2,2,5,1\nK,3,3,3,17,\n"), []string{
			"main:",
			"profile: cv4-gate4",
			"K: {voices: 3}",
			"said: Channels follow the order of voices, whatever the table has for K2: K2 is on port 1 channel 2, and row 3 has channel 5.",
			`cell: row 4, column E (MIDI ch): found "17", want a whole number from 1 to 16`,
		}},
		{"a row a jack", []byte("Bank,Voice,Input,Jack,Type\nK,1,pitch,1,CV\nK,1,gate,1,gate\nK,1,cutoff,2,CV\nK,2,pitch,3,CV\nK,2,gate,2,gate\nK,2,cutoff,4,CV\n"), []string{
			"main:",
			"profile: cv4-gate4",
			"K: {voices: 2}",
		}},
		{"one jack a voice", []byte("Voice,Jack\nK1,1\nK2,2\n"), append(inOrder, "said: One jack a voice is read as the CV and the gate of that number.")},
		{"connector and place in one cell", []byte("Bank,Voice,CV,Gate\nK,1,2/5,1\n"), []string{
			"main:",
			"profile: cv4-gate4",
			"K: {voices: 1}",
			"said: No pitch jack for K1 in the table, so free ones are taken.",
			`cell: row 2, column C (CV): found "2/5", want one number for the jack, counted through all connectors: place 5 of the second 8 is 13`,
		}},
		{"names for voices with odd banks", []byte("Group,Voice,CV,Gate\nLeft shelf,1,1,1\nRight shelf!,Voice 1,2,2\ncv,1,3,3\n"), []string{
			"main:",
			"profile: cv4-gate4",
			"Left-shelf: {voices: 1}",
			"Right-shelf: {voices: 1}",
			"K: {voices: 1}",
			`said: Bank "cv" is called K here: a bank's name begins with a letter and ends in no digit.`,
		}},
		{"a voice missing above another", []byte("Bank,Voice,CV,Gate\nK,1,1,1\nL,,2,2\nL,2,3,3\n"), []string{
			"main:", "profile: cv4-gate4", "K: {voices: 1}", "L: {voices: 2}",
			"cell: row 3, column B (Voice): the voice is missing, read as voice 1 of bank L",
		}},
		{"voices as a range", []byte("Bank,Voice,CV,Gate\nK,1-3,2-4,1-3\nL,1 to 2,5,4-5\n"), []string{
			"main:", "profile: cv8-gate8", "K: {voices: 3}", "L: {voices: 2}",
			"- {from: main.cv 5, through: passive, to: [L1.pitch, L2.pitch]}",
			"K1.pitch: main.cv 2", "K2.pitch: main.cv 3", "K3.pitch: main.cv 4",
			"said: main cv 5 stands at L1.pitch and L2.pitch: read as a passive multiple.",
		}},
		{"heads that say no bank and no voice", []byte("Synth,Which,Pitch,Gate\nLeft,1,1,1\nRight,1,2,2\n"), []string{
			"main:", "profile: cv4-gate4", "K: {voices: 2}",
			"cell: row 1: no head for bank, want one of bank, banks, bank name: all voices stand in bank K",
			"cell: row 1: no head for voice, want one of voice, voices, vox: voices are counted by row",
		}},
		{"a jack far above the others", []byte(simple + "K,3,99,3\n"), []string{
			"main:", "cv: 99", "gates: 99", "K: {voices: 3}", "K3.pitch: main.cv 99",
			"said: Row 4 has main cv 99, and the next jack below is 2: main gets all of them, unless it is a slip.",
		}},
		{"nine jacks above the others is far, eight is not", []byte(simple + "K,3,10,11\n"), []string{
			"main:", "profile: cv16-gate16", "K: {voices: 3}", "K3.pitch: main.cv 10", "K3.gate: main.gate 11",
			"said: Row 4 has main gate 11, and the next jack below is 2: main gets all of them, unless it is a slip.",
		}},
		{"a remark that sounds like a state", []byte("Bank,Voice,CV,Gate,Notes\nK,1,1,1,dead since May\nK,2,2,2,out\nK,3,3,3,goes out of tune\n"), []string{
			"main:", "profile: cv4-gate4", "K: {voices: 3}",
			"said: Remarks on K1 and K2 say dead and out, and remarks decide nothing: in service here. A column headed State takes voices out.",
		}},
		{"G1 is a gate", []byte("Bank,Voice,CV,Gate\nK,1,CV2,G1\n"), []string{
			"main:", "profile: cv4-gate4", "K: {voices: 1}", "K1.pitch: main.cv 2",
		}},
		{"nothing", nil, []string{
			"error: no row of heads in the first 30 rows, want heads such as bank, voice, pitch jack and gate jack",
		}},
		{"no heads", []byte("K,1,1,1\nK,2,2,2\n"), []string{
			"error: no row of heads in the first 30 rows, want heads such as bank, voice, pitch jack and gate jack",
		}},
		{"heads alone", []byte("Bank,Voice,CV,Gate\n"), []string{
			"error: no voice under the heads in row 1, want a row for each",
		}},
		{"not UTF-8", []byte("Bank,Voice,CV,Gate\nK\xe4,1,1,1\n"), []string{
			"error: row 2: byte E4h is not UTF-8, want the file saved as UTF-8",
		}},
		{"a quote left open", []byte("Bank,Voice,CV,Gate\nK,\"1,1,1\nK,2,2,2\n"), []string{
			"error: line 3, character 9: a quote stands alone, want quotes round a whole cell, and doubled inside it",
		}},
		{"zero bytes", []byte("Bank,Voice,CV,Gate\nK,1,\x00,1\n"), []string{
			"error: row 2 has a zero byte, want a table as CSV",
		}},
	} {
		got := read(t, row.data)
		if !slices.Equal(row.want, got) {
			t.Errorf("%s:\n%s", row.name, strings.Join(got, "\n"))
		}
	}
}
