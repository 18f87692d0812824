package detune_test

import (
	"fmt"

	"choirloft/routing/detune"
)

// Four voices over 12 cents, and what they do at A4. The sums are in the tests
// of the laws and the beats.
func Example() {
	stack, err := detune.Spec{Law: detune.Uneven, Voices: 4, Width: 12}.Spread()
	if err != nil {
		fmt.Println(err)
		return
	}
	beats, err := detune.BeatsOf(stack, detune.Frequency(440, 69))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.1f cents, mean %.1f\n", stack, detune.Mean(stack))
	fmt.Printf("%.2f to %.2f Hz, slowest beat every %.1f s\n", beats.Slowest.Beat, beats.Fastest.Beat, beats.Slowest.Period())
	fmt.Println("common throb:", beats.Throb.Common)
	// Output:
	// [-6.0 -4.0 2.0 6.0] cents, mean -0.5
	// 0.51 to 3.05 Hz, slowest beat every 2.0 s
	// common throb: false
}
