package contract

import (
	"math"
	"time"

	"choirloft/midi"
)

// KeyName names a key, also one that a transposition has moved outside of
// 0–127. middleC is the octave of key 60.
func KeyName(key, middleC int) string {
	octaves := 0
	for ; key < 0; octaves-- {
		key += 12
	}
	for ; key > 127; octaves++ {
		key -= 12
	}
	return midi.Key(key).Name(middleC + octaves)
}

// seconds returns a time in seconds, as near as a float64 gets.
func seconds(d time.Duration) float64 { return float64(d) / float64(time.Second) }

// level returns a level in dB, nil for silence: what is lower than any level
// that a rig may name is nothing but the rounding of one.
func level(db float64) *float64 {
	if db < lowestLevel {
		return nil
	}
	return finite(db)
}

// lowestLevel is the lowest level, in dB, that a rig may set as a limit.
const lowestLevel = -200

// finite returns nil for what JSON cannot say.
func finite(v float64) *float64 {
	if math.IsInf(v, 0) || math.IsNaN(v) {
		return nil
	}
	return &v
}
