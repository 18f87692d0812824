package alloc_test

import (
	"fmt"
	"time"

	"choirloft/alloc"
	"choirloft/midi"
)

// Three keys a second apart on two voices. The third steals from the oldest note, as
// the rule says; the engine is fed a step at a time and decides at once.
func ExampleEngine() {
	part := alloc.Part{
		Name: "pad", Sources: []alloc.Source{{AnyPort: true, Channels: 1}}, Keys: alloc.KeyRange{High: 127},
		Velocities: [2]uint8{1, 127}, Banks: []int{0}, Pick: alloc.PickLowest, Steal: alloc.StealOldest,
		Priority: 1, BendRange: 2,
	}
	engine, err := alloc.New(alloc.Config{Voices: make([]alloc.Voice, 2), Parts: []alloc.Part{part}, FreeDB: -60})
	if err != nil {
		fmt.Println(err)
		return
	}
	tell := func(d *alloc.Decision) {
		switch {
		case d.Kind == alloc.Take && d.Cut != alloc.NoNote:
			fmt.Printf("%v: key %d on voice %d, taken from key %d\n", d.At, d.Key, d.Voice, d.CutKey)
		case d.Kind == alloc.Take:
			fmt.Printf("%v: key %d on voice %d\n", d.At, d.Key, d.Voice)
		case d.Kind == alloc.Release:
			fmt.Printf("%v: key %d ends\n", d.At, d.Key)
		}
	}
	for i, key := range []midi.Key{60, 64, 67} {
		engine.Feed(&midi.Step{At: time.Duration(i) * time.Second, Kind: midi.StepNoteOn, Key: key, Value: 100}, tell)
	}
	engine.Finish(4*time.Second, tell)
	// Output:
	// 0s: key 60 on voice 0
	// 1s: key 64 on voice 1
	// 2s: key 67 on voice 0, taken from key 60
	// 4s: key 64 ends
	// 4s: key 67 ends
}
