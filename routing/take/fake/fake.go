// Package fake is the sound of simple voices that play a take; for tests alone. It knows nothing of
// how a recording is read.
package fake

import (
	"encoding/binary"
	"math"

	"choirloft/midi"
)

// Wav is a take as sound, in 16 bits at a rate, frames a second: of each channel, counted on
// from port to port, a tone of six harmonics, some cents sharp, that rises in 4 ms and falls by 60 dB in 0.3 s. A channel
// that is silent is left out. It begins 0.7 s into the sound.
func Wav(rate float64, song *midi.Song, sharp map[midi.Channel]float64) []byte {
	const lead = 0.7
	x := make([]float64, int((song.Duration().Seconds()+lead+1)*rate))
	begins := make([]int, len(song.Events)) // of each event, the first sample that hears it
	for i, e := range song.Events {
		begins[i] = int(math.Ceil((song.Tempo.At(e.Tick).Seconds() + lead) * rate))
	}
	fall := math.Exp(-math.Log(1000) / (0.3 * rate))
	for channel, cents := range sharp {
		env, phase, hertz, open, next := 0.0, 0.0, 0.0, false, 0
		for i := range x {
			for next < len(begins) && begins[next] <= i {
				e := &song.Events[next]
				next++
				if voice := midi.Channel(e.Port)*16 + e.Channel(); voice == channel && e.Kind() == midi.NoteOn {
					hertz, open = 440*math.Exp2((float64(e.Data1)-69+cents/100)/12), true
				} else if voice == channel && e.Kind() == midi.NoteOff {
					open = false
				}
			}
			if open {
				env = math.Min(1, env+1/(0.004*rate))
			} else {
				env *= fall
			}
			phase += hertz / rate
			if env < 1e-5 {
				continue
			}
			// sin (h+1)x = 2 cos x sin hx − sin (h−1)x
			sine, cosine := math.Sincos(2 * math.Pi * phase)
			before := 0.0
			for h := 1.0; h <= 6 && h*hertz < 0.4*rate; h++ {
				x[i] += 0.15 * env / h * sine
				before, sine = sine, 2*cosine*sine-before
			}
		}
	}
	data := []byte("RIFF\x00\x00\x00\x00WAVEfmt \x10\x00\x00\x00\x01\x00\x01\x00")
	data = binary.LittleEndian.AppendUint32(data, uint32(rate))
	data = binary.LittleEndian.AppendUint32(data, uint32(2*rate))
	data = append(data, "\x02\x00\x10\x00data\xff\xff\xff\xff"...)
	for _, v := range x {
		data = binary.LittleEndian.AppendUint16(data, uint16(int16(v*32000)))
	}
	return data
}
