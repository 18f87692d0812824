package midi_test

import (
	"fmt"
	"os"

	"choirloft/midi"
)

// A song is read into one list of events, and performed as steps.
func ExampleRead() {
	data, _ := os.ReadFile("../testdata/slow-kiln.mid")
	song, err := midi.Read(data, midi.Options{})
	fmt.Println(song.NoteOns, song.Duration(), err)
	first := song.Steps(midi.Order{})[0]
	fmt.Println(first.At, first.Channel, first.Kind == midi.StepNoteOn)
	// Output:
	// 328 53.393311976s <nil>
	// 0s 1 true
}
