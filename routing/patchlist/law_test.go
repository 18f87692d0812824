package patchlist_test

import (
	"fmt"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/midi/corpora"
	"choirloft/profiles"
	"choirloft/routing"
	"choirloft/routing/patchlist"
)

// mapOf makes the rig of a table and its map.
func mapOf(t require.TestingT, table string) (*profiles.Rig, map[string]*routing.Lane, []byte) {
	l, err := patchlist.Read([]byte(table))
	require.NoError(t, err, table)
	require.Empty(t, l.Cells)
	data, _, err := l.Rig(profiles.StarterOptions{Name: "Drawn"})
	require.NoError(t, err, table)
	rig, faults := profiles.Read("drawn.yaml", data, nil)
	require.Empty(t, faults, "%s", data)
	lanes := map[string]*routing.Lane{}
	for _, x := range routing.NewMap(rig).Lanes() {
		lanes[x.Name] = x
	}
	return rig, lanes, data
}

// TestJacksAreWhereTheTableSays: whatever the order of jacks, some of them on several
// voices.
func TestJacksAreWhereTheTableSays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		sizes := rapid.SliceOfN(rapid.IntRange(1, 6), 1, 4).Draw(t, "sizes")
		total := 0
		for _, n := range sizes {
			total += n
		}
		one := rapid.IntRange(1, total+3)
		pitches := rapid.SliceOfN(one, total, total).Draw(t, "pitches")
		gates := rapid.SliceOfN(one, total, total).Draw(t, "gates")
		var b strings.Builder
		b.WriteString("Bank;Voice;Pitch;Gate\n")
		n := 0
		want := map[string]int{}
		for i, size := range sizes {
			for v := 1; v <= size; v++ {
				name := fmt.Sprintf("%s%d", profiles.BankName(i), v)
				fmt.Fprintf(&b, "%s;%d;%d;%d\n", profiles.BankName(i), v, pitches[n], gates[n])
				want[name+".pitch"], want[name+".gate"] = pitches[n], gates[n]
				n++
			}
		}
		_, lanes, data := mapOf(t, b.String())
		for name, jack := range want {
			require.Equal(t, jack, lanes[name].Jack, "%s\n%s\n%s", name, b.String(), data)
			require.Equal(t, strings.HasSuffix(name, ".gate"), lanes[name].GateJack)
		}
	})
}

// TestRowsOfJacks: further inputs of voices become inputs of their kind.
func TestRowsOfJacks(t *testing.T) {
	rig, lanes, data := mapOf(t, "Bank,Voice,Input,Jack,Type\nK,1,pitch,1,CV\nK,1,gate,1,gate\nK,1,cutoff,2,CV\n"+
		"L,1,pitch,3,CV\nL,1,gate,2,gate\n")
	require.Equal(t, []string{"pitch", "gate", "cutoff"}, rig.Kinds[rig.Banks[0].Kind].Inputs)
	require.Equal(t, []string{"pitch", "gate"}, rig.Kinds[rig.Banks[1].Kind].Inputs, "%s", data)
	require.Equal(t, []int{1, 2, 3}, []int{lanes["K1.pitch"].Jack, lanes["K1.cutoff"].Jack, lanes["L1.pitch"].Jack})
}

// TestHeadsAreTold: how each column was read.
func TestHeadsAreTold(t *testing.T) {
	l, err := patchlist.Read([]byte("Bank,Vox,CV out,Gates,Colour,MIDI,Pitch 2,Remarks\nK,1,1,1,red,1,2,\n"))
	require.NoError(t, err)
	require.Equal(t, []string{
		`column A, "Bank": bank`, `column B, "Vox": voice`, `column C, "CV out": pitch jack`, `column D, "Gates": gate jack`,
		`column E, "Colour": not read`, `column F, "MIDI": MIDI channel`, `column G, "Pitch 2": not read, column C is the pitch jack`,
		`column H, "Remarks": remarks`,
	}, l.Heads)
}

// TestHostileTables: what asks for more than a rig holds is refused or told, in a
// time and with an amount of memory that follow from the size of the file.
func init() { corpora.Checks("20", "100") }

func TestHostileTables(t *testing.T) {
	corpora.Patient(t)
	lines := func(n int, line func(i int) string) string {
		var b strings.Builder
		b.WriteString("Bank,Voice,CV,Gate\n")
		for i := range n {
			b.WriteString(line(i))
		}
		return b.String()
	}
	for _, row := range []struct {
		name, table string
		refused     string // empty where it is read
		told        string
	}{
		{"more bytes than a rig has", strings.Repeat("a,b\n", profiles.MaxBytes/4+1), "the file has more than 1048576 bytes", ""},
		{"too many banks", lines(1030, func(i int) string { return fmt.Sprintf("B%d,1,1,1\n", i) }), "", `want at most 1024 banks`},
		{"too many voices", lines(5, func(i int) string { return fmt.Sprintf("%c,1024,1,1\n", 'K'+i) }), "found 5120 voices, want at most 4096", ""},
		{"a voice far off", lines(2, func(i int) string { return fmt.Sprintf("K,%d,%d,1\n", 1+i*999998, i+1) }), "", "found \"999999\", want a whole number from 1 to 4096"},
		{"too many columns", lines(1, func(int) string { return strings.Repeat(",", 300) + "\n" }), "row 2 has 301 columns, want at most 256", ""},
		{"one cell of all", lines(1, func(int) string { return "K,\"" + strings.Repeat("x", 1_000_000) + "\",1,1\n" }),
			"want a number or a voice such as K3", ""},
		{"rows of commas", strings.Repeat(strings.Repeat(",", 255)+"\n", 4000), "no row of heads", ""},
		{"one output for all", lines(4096, func(i int) string { return fmt.Sprintf("%s,%d,1,1\n", profiles.BankName(i/1024), 1+i%1024) }), "", ""},
		{"all in reverse", lines(1000, func(i int) string { return fmt.Sprintf("K,%d,%d,%d\n", i+1, 1000-i, 1000-i) }), "", ""},
		{"quotes of quotes", lines(1, func(int) string { return strings.Repeat(`"`, 99_999) + "\n" }), "a quote stands alone", ""},
		{"control characters", lines(1, func(int) string { return "K,\x1b[31m,1,1\n" }), `found "\x1b[31m"`, ""},
	} {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		began := time.Now()
		l, err := patchlist.Read([]byte(row.table))
		if row.refused != "" {
			require.ErrorContains(t, err, row.refused, row.name)
		} else {
			require.NoError(t, err, row.name)
			_, _, err = l.Rig(profiles.StarterOptions{Name: "Hostile"})
			if err != nil { // more wires than a rig has
				require.ErrorContains(t, err, "the table makes no rig", row.name)
			}
			told := ""
			for _, c := range l.Cells {
				told += c.String() + "\n"
			}
			require.Contains(t, told, row.told, row.name)
		}
		runtime.ReadMemStats(&after)
		require.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(2<<30), row.name)
		if corpora.Asked() {
			require.Less(t, time.Since(began), 20*time.Second, row.name)
		}
	}
}

// FuzzRead: whatever is read makes a rig without faults or is refused, and no cell
// that is told has a place that the table does not have.
func FuzzRead(f *testing.F) {
	for _, table := range []string{simple, strings.ReplaceAll(simple, ",", ";"), "Bank,Voice,Input,Jack,Type\nK,1,pitch,1,CV\n",
		"row,lane,interface,kind,jack,port,channel,message,bank,input,to\nrig,A\nvoice,K1.pitch,main,cv,1,1,1,note,K,pitch,\nmacro,bite,main,cv,2,1,16,CC 74,,,K.cutoff\n"} {
		f.Add([]byte(table))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		l, err := patchlist.Read(data)
		if err != nil {
			return
		}
		rows := 1 + strings.Count(string(data), "\n") + strings.Count(string(data), "\r")
		for _, c := range l.Cells {
			require.True(t, 1 <= c.Row && c.Row <= rows && c.Column < 256, c)
		}
		made, _, err := l.Rig(profiles.StarterOptions{Name: "Fuzz"})
		if err != nil {
			require.ErrorContains(t, err, "the table makes no rig")
			return
		}
		_, faults := profiles.Read("fuzz.yaml", made, nil)
		require.Empty(t, faults, "%s", made)
	})
}
