package stream

import (
	"bytes"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"
	"gitlab.com/gomidi/midi/v2/drivers"
	"pgregory.net/rapid"
)

// read returns what a stream holds, with ! for each place that is broken.
func read(data ...byte) (all []string) {
	var p Parser
	for _, b := range data {
		m, ok, broken := p.Next(b)
		if broken {
			all = append(all, "!")
		}
		if ok {
			all = append(all, fmt.Sprintf("%02X %02X %02X", m.Status, m.Data1, m.Data2))
		}
	}
	return all
}

// Clauses are of the MIDI 1.0 detailed specification, 4.2.1, from memory.
func TestStream(t *testing.T) {
	for _, c := range []struct {
		name string
		data []byte
		want []string
	}{
		{"a note", []byte{0x90, 60, 100, 0x80, 60, 64}, []string{"90 3C 64", "80 3C 40"}},
		{"running status", []byte{0x90, 60, 100, 62, 100, 60, 0}, []string{"90 3C 64", "90 3E 64", "90 3C 00"}},
		{"one data byte", []byte{0xC2, 5, 6, 0xD2, 7}, []string{"C2 05 00", "C2 06 00", "D2 07 00"}},
		{"real time within a message", []byte{0x90, 0xF8, 60, 0xFE, 100, 0xFA, 62, 0xF8, 1}, []string{"F8 00 00", "FE 00 00", "90 3C 64", "FA 00 00", "F8 00 00", "90 3E 01"}},
		{"real time within sysex", []byte{0xF0, 1, 0xF8, 2, 0xF7, 0x90, 1, 2}, []string{"F8 00 00", "90 01 02"}},
		{"sysex ends running status", []byte{0x90, 1, 2, 0xF0, 9, 0xF7, 3, 4}, []string{"90 01 02", "!", "!"}},
		{"sysex that a status ends", []byte{0xF0, 1, 2, 0x90, 3, 4}, []string{"90 03 04"}},
		{"system common", []byte{0xF1, 5, 0xF2, 1, 2, 0xF3, 7, 0xF6, 0x91, 1, 2}, []string{"F1 05 00", "F2 01 02", "F3 07 00", "F6 00 00", "91 01 02"}},
		{"system common ends running status", []byte{0x90, 1, 2, 0xF3, 7, 3}, []string{"90 01 02", "F3 07 00", "!"}},
		{"undefined ends running status", []byte{0x90, 1, 2, 0xF4, 3, 4, 0x90, 5, 6}, []string{"90 01 02", "90 05 06"}},
		{"a lost data byte", []byte{0x90, 60, 0x90, 62, 100}, []string{"!", "90 3E 64"}},
		{"a lost status byte", []byte{60, 100, 0x90, 62, 100}, []string{"!", "!", "90 3E 64"}},
		{"a stray end of sysex", []byte{0xF7, 0x90, 1, 2}, []string{"90 01 02"}},
		{"cut by sysex", []byte{0x90, 1, 0xF0, 2, 0xF7}, []string{"!"}},
	} {
		t.Run(c.name, func(t *testing.T) { require.Equal(t, c.want, read(c.data...)) })
	}
}

func TestBroken(t *testing.T) {
	var p Parser
	for _, b := range []byte{1, 0x93, 5, 0x80, 1, 2, 3} {
		p.Next(b)
	}
	messages, bytes := p.Broken()
	require.Equal(t, []int{1, 1}, []int{messages, bytes})
	require.Equal(t, uint8(0x93), p.Lost())
	require.True(t, p.Reset())
	require.False(t, p.Reset())
	_, ok, broken := p.Next(4)
	require.Equal(t, []bool{false, true}, []bool{ok, broken})
}

// TestAgainstGomidi compares with the live reader of gomidi v2.3.24 on streams
// of channel messages, with real time between and running status. It is left
// alone where it is not sound: sysex, and a status byte within a message.
func TestAgainstGomidi(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var data []byte
		var last byte
		for range rapid.IntRange(0, 40).Draw(t, "messages") {
			status := byte(rapid.IntRange(0x80, 0xEF).Draw(t, "status"))
			if last == 0 || !rapid.Bool().Draw(t, "running") {
				data, last = append(data, status), status
			}
			for range dataBytes(last) {
				data = append(data, byte(rapid.IntRange(0, 127).Draw(t, "data")))
			}
			if rapid.Bool().Draw(t, "clock") {
				data = append(data, 0xF8)
			}
		}
		var want []string
		r := drivers.NewReader(drivers.ListenConfig{TimeCode: true, ActiveSense: true}, func(m []byte, _ int32) {
			b := [3]byte{}
			copy(b[:], m)
			want = append(want, fmt.Sprintf("%02X %02X %02X", b[0], b[1], b[2]))
		})
		r.EachMessage(data, 0)
		require.Equal(t, want, read(data...))
	})
}

// FuzzParser: whatever comes, what comes out are whole messages, and behind any
// rubbish a message that starts with its status is read.
func FuzzParser(f *testing.F) {
	f.Add([]byte{0x90, 60, 100, 0xF0, 1, 0xF7})
	f.Add([]byte{0xF4, 1, 0xF2, 1, 0xF8, 0x80})
	f.Fuzz(func(t *testing.T, data []byte) {
		var p Parser
		for _, b := range data {
			m, ok, _ := p.Next(b)
			if ok && (m.Status < 0x80 || m.Data1 > 127 || m.Data2 > 127) {
				t.Fatalf("% X", m)
			}
		}
		last := Message{}
		for _, b := range []byte{0x93, 60, 100} {
			if m, ok, _ := p.Next(b); ok {
				last = m
			}
		}
		if (last != Message{0x93, 60, 100}) {
			t.Fatalf("% X", last)
		}
	})
}

func TestNoAllocation(t *testing.T) {
	data := bytes.Repeat([]byte{0x90, 60, 100, 0xF8, 60, 0, 0xF0, 1, 0xF7, 1}, 100)
	var p Parser
	require.Zero(t, testing.AllocsPerRun(10, func() {
		for _, b := range data {
			p.Next(b)
		}
	}))
}
