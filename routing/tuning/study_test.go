package tuning

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"choirloft/profiles"
	"choirloft/routing"
)

func rigOf(t require.TestingT, text string) *profiles.Rig {
	rig, faults := profiles.Read("rig.yaml", []byte("rig: R\n"+text), nil)
	require.Empty(t, faults)
	return rig
}

// wall is four voices, 0 V at C2, 5 V at C7.
const wall = "interfaces: {main: {profile: cv16-gate16, window: 0 V to 5 V, zero_key: 36}}\nbanks: {K: {voices: 4}}\n"

// at are readings of a voice that sounds so many cents sharp at keys.
func at(rig *profiles.Rig, voice int, date string, cents func(key float64) float64, keys ...int) (all []Reading) {
	box := Boxes(rig)[voice]
	for _, key := range keys {
		hertz := 440 * math.Exp2((float64(key)-69+cents(float64(key))/100)/12)
		all = append(all, Reading{Voice: voice, Volts: routing.VoltsAt(box, 440, float64(key)), Hertz: profiles.Hertz(hertz), Date: date})
	}
	return all
}

func by(cents float64) func(float64) float64 { return func(float64) float64 { return cents } }

// line is a voice off by so many cents at C2 and so many more each octave.
func line(offset, stretch float64) func(float64) float64 {
	return func(key float64) float64 { return offset + stretch*(key-36)/12 }
}

var fiveKeys = []int{36, 48, 60, 72, 84}

// The voice that was made 14 cents sharp is named, with its trimmer; the other
// three are as far apart as tuned oscillators are.
func TestPlantedVoiceIsFound(t *testing.T) {
	rig := rigOf(t, wall)
	var all []Reading
	for voice, cents := range []float64{0.4, -0.9, 14, 1.1} {
		all = append(all, at(rig, voice, "2026-11-02", by(cents), fiveKeys...)...)
	}
	r := Study(rig, all, 3)
	require.Len(t, r.Banks, 1)
	require.Len(t, r.Banks[0].Odd, 1)
	odd := r.Banks[0].Odd[0]
	require.Equal(t, 2, odd.Voice.Voice)
	require.False(t, odd.Stretch)
	require.InDelta(t, 14-0.75, odd.Cents, 1e-9) // the median of the four is (0.4 + 1.1)/2
	// deviations 0.35, 1.65, 13.25, 0.35, so the MAD is 1.0
	require.InDelta(t, 0.6745*13.25/1.0, odd.Z, 1e-6)
	require.Len(t, r.Trims, 1)
	turn := r.Trims[0]
	require.Equal(t, OffsetTrimmer, turn.Trimmer)
	require.False(t, turn.Up)
	require.InDelta(t, 14, turn.Cents, 1e-9)
	require.InDelta(t, 261.6256, float64(turn.To), 1e-3) // C4, CRC Handbook: 261.63
	require.InDelta(t, 261.6256*math.Exp2(14./1200), float64(turn.From), 1e-3)
	// 14 cents sharp at 0 V, where the window ends: the lowest key stays sharp
	require.Equal(t, routing.TunedApart, r.Findings[0].Code)
	require.Equal(t, uint8(37), uint8(r.Voices[2].After.Low))
}

// A corrected voice is in tune at every key: sent the corrected volts, an
// oscillator of any such law sounds within the rounding of what is written.
func TestCorrectionsTune(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		scale := rapid.SampledFrom([]string{"1 V/oct", "1.2 V/oct", "130.81 Hz at 1 V"}).Draw(t, "scale")
		rig := rigOf(t, "interfaces: {main: {profile: cv16-gate16, window: -5 V to 10 V, scale: "+scale+"}}\nbanks: {K: {voices: 1}}\n")
		box := Boxes(rig)[0]
		a, b := rapid.Float64Range(-0.05, 0.05).Draw(t, "offset"), rapid.Float64Range(0.98, 1.02).Draw(t, "scale")
		// the oscillator wants b·V + a for what V stands for
		sounds := func(v profiles.Volts) float64 {
			return routing.PitchAt(box, 440, (v-profiles.Volts(a))/profiles.Volts(b))
		}
		var all []Reading
		for _, key := range []int{36, 40, 52, 66, 77} {
			v := routing.VoltsAt(box, 440, float64(key))
			all = append(all, Reading{Voice: 0, Volts: v, Hertz: hertzOf(sounds(v), 440)})
		}
		r := Study(rig, all, 3)
		c := r.Voices[0].Correction
		require.NotNil(t, c)
		require.InDelta(t, a, float64(c.Offset), 6e-6)
		require.InDelta(t, b, c.Scale, 6e-6)
		require.Less(t, r.Voices[0].Residual, 1e-6)
		if box.Scale.HertzPerVolt() {
			return // at low volts the rounding of 10 µV is cents
		}
		for key := 36.0; key <= 77; key += 0.5 {
			got := sounds(routing.CorrectedVolts(box, 440, c, key))
			require.InDelta(t, key, got, 0.001, "a tenth of a cent")
		}
	})
}

// At 0 V 3 cents sharp and 2.5 cents an octave stretched: b = 1202.5, so the
// scale is 1200/1202.5 = 0.99792 and the offset −3/1202.5 = −2.49 mV.
func TestScaleBeforeOffset(t *testing.T) {
	rig := rigOf(t, wall)
	r := Study(rig, at(rig, 0, "", line(5, 2.5), fiveKeys...), 3)
	v := r.Voices[0]
	require.InDelta(t, 1202.5, v.Line.Slope, 1e-9)
	require.InDelta(t, 2.5, v.Stretch, 1e-9)
	require.InDelta(t, 5, v.Offset, 1e-9)
	require.InDelta(t, 10, v.Sharp, 1e-9) // at C4, two octaves up
	require.Equal(t, 0.99792, v.Correction.Scale)
	require.Equal(t, profiles.Volts(-0.00416), v.Correction.Offset) // −5/1202.5
	require.Len(t, r.Trims, 2)
	scale, offset := r.Trims[0], r.Trims[1]
	require.Equal(t, []any{ScaleTrimmer, false}, []any{scale.Trimmer, scale.Up})
	require.InDelta(t, -2.5, scale.Stretch, 1e-9)
	require.InDelta(t, 10, scale.Cents, 1e-9)                                    // four octaves of it
	require.InDelta(t, 1046.502*math.Exp2(15./1200), float64(scale.From), 0.01)  // C6, CRC Handbook 1046.50, 15 cents sharp
	require.InDelta(t, 1046.502*math.Exp2(5./1200), float64(scale.To), 0.01)     // the offset is still there
	require.InDelta(t, 65.40639*math.Exp2(5./1200), float64(offset.From), 0.001) // C2
	require.InDelta(t, 65.40639, float64(offset.To), 0.001)
	require.False(t, offset.Up)
	require.Equal(t, Usable{}, Usable{OK: v.Before.OK}) // nowhere within 3 cents
	require.Equal(t, 49, v.Before.Judged)
	require.True(t, v.After.OK)
}

// Whatever the oscillator, what a turn says of the key that is held is what it sounds then
// and after that turn, with what no trimmer mends.
func TestTurnsSayWhatSounds(t *testing.T) {
	rig := rigOf(t, wall)
	rapid.Check(t, func(t *rapid.T) {
		offset, stretch := rapid.Float64Range(-20, 20).Draw(t, "offset"), rapid.Float64Range(-3, 3).Draw(t, "stretch")
		wave, top := rapid.Float64Range(-1, 1).Draw(t, "wave"), rapid.SampledFrom([]float64{0, -9}).Draw(t, "top")
		off := func(key float64) float64 {
			cents := offset + stretch*(key-36)/12 + wave*math.Sin(key)
			if key >= 96 {
				cents += top
			}
			return cents
		}
		r := Study(rig, at(rig, 0, "", off, 36, 48, 60, 72, 84, 96), 3)
		for i, turn := range r.Trims {
			now := off(turn.Pitch)
			for j := range r.Trims[:i] {
				now += r.Trims[j].at((turn.Pitch - 36) / 12)
			}
			hertz := func(cents float64) float64 { return 440 * math.Exp2((turn.Pitch-69)/12+cents/1200) }
			signed := turn.Cents
			if !turn.Up {
				signed = -signed
			}
			require.InDelta(t, 0, 1200*math.Log2(float64(turn.From)/hertz(now)), 0.01, "before turn %d", i+1)
			require.InDelta(t, 0, 1200*math.Log2(float64(turn.To)/hertz(now+signed)), 0.01, "after turn %d", i+1)
		}
	})
}

// 3.17 cents sharp at 0 V and 0.58 an octave less above, K1 cannot be corrected at C2: no
// volts are below 0 V. No one trimmer is 3 cents out, and all the same turns are named, with
// the reason. K2, which its correction reaches, needs none.
func TestTurnsHaveReasons(t *testing.T) {
	rig := rigOf(t, "interfaces: {main: {profile: cv16-gate16, window: 0 V to 5 V, zero_key: 36}}\nbanks: {K: {voices: 2}}\n")
	six := []int{36, 48, 60, 72, 84, 96}
	r := Study(rig, append(at(rig, 0, "", line(3.17, -0.58), six...), at(rig, 1, "", line(-2, 0.3), six...)...), 3)
	require.NotEmpty(t, r.Trims)
	for _, turn := range r.Trims {
		require.Equal(t, []any{0, BeyondRange, 36}, []any{turn.Voice.Voice, turn.Why.Of, turn.Why.Key})
		require.InDelta(t, 3.17, turn.Why.Cents, 0.01)
	}
	require.Equal(t, []bool{true, false}, []bool{r.Voices[0].ByHand, r.Voices[1].ByHand})
}

// What was measured of the drift before stays with a reading of one day.
func TestDriftIsKept(t *testing.T) {
	rig := rigOf(t, wall+"corrections: {K1: {offset: 1 mV, drift: 0.7 cents, common_drift: 0.2 cents, days: 4}}\n")
	r := Study(rig, at(rig, 0, "", line(1, 0), fiveKeys...), 3)
	c := r.Voices[0].Correction
	require.Equal(t, []any{profiles.Cents(0.7), profiles.Cents(0.2), 4}, []any{*c.Drift, *c.CommonDrift, c.Days})
	for _, f := range r.Findings {
		require.NotEqual(t, routing.DriftUnmeasured, f.Code)
	}
}

// Falling away at the top by 12 cents: one line does not hold within 3, so the
// correction has points, which do; the trimmer for the highest keys is named.
func TestPiecewise(t *testing.T) {
	rig := rigOf(t, wall)
	bend := func(key float64) float64 {
		if key > 72 {
			return -(key - 72)
		}
		return 0
	}
	r := Study(rig, at(rig, 0, "", bend, fiveKeys...), 3)
	v := r.Voices[0]
	require.True(t, v.Piecewise)
	require.Len(t, v.Correction.Points, 5)
	require.Equal(t, []any{uint8(36), uint8(75)}, []any{uint8(v.Before.Low), uint8(v.Before.High)})
	for key := 36.0; key <= 84; key++ {
		cents, ok := v.errorAt(key, 440, v.Correction)
		require.True(t, ok, key)
		require.InDelta(t, 0, cents, 0.1, "key %v", key)
	}
	require.Equal(t, []any{true, uint8(36), uint8(84)}, []any{v.After.OK, uint8(v.After.Low), uint8(v.After.High)})
	require.Len(t, r.Trims, 1)
	last := r.Trims[0]
	require.Equal(t, []any{HighTrimmer, true}, []any{last.Trimmer, last.Up})
	require.InDelta(t, 12, last.Cents, 1e-9)
	require.InDelta(t, math.Sqrt(36./3)/4, float64(*v.Correction.Residual), 0.006) // left out, C5 lies 6 cents off its neighbours; C3 and C4 none

	straight := Study(rig, at(rig, 0, "", func(key float64) float64 { return bend(key) / 4 }, fiveKeys...), 3)
	require.False(t, straight.Voices[0].Piecewise, "up to 3 cents are left to one line")
	require.Empty(t, straight.Voices[0].Correction.Points)
}

// Three days at two keys: −1, 0, +1 and 1, 2, 3 cents. The deviation between
// days is √(4/(2 + 2)) = 1, and the voice rose by 2.
func TestDrift(t *testing.T) {
	rig := rigOf(t, wall)
	var all []Reading
	for i, day := range []string{"2026-11-16", "2026-11-02", "2026-11-09"} {
		off := []float64{1, -1, 0}[i]
		all = append(all, at(rig, 0, day, line(off, 1), 36, 60)...)
	}
	all = append(all, at(rig, 0, "2026-11-16", line(1, 1), 72)...)
	v := Study(rig, all, 3).Voices[0]
	require.Equal(t, 3, v.Drift.Days)
	require.InDelta(t, 1, v.Drift.SD, 1e-9)
	require.InDelta(t, 2, v.Drift.Moved, 1e-9)
	require.Equal(t, []any{"2026-11-02", "2026-11-16", 2}, []any{v.Drift.First, v.Drift.Last, v.Drift.Common})
	require.Equal(t, "2026-11-16", v.Date)
	require.Len(t, v.Points, 3)
	require.InDelta(t, 1, float64(*v.Correction.Drift), 1e-9)
	require.Equal(t, "2026-11-16", v.Correction.Measured)
}

func TestObstacles(t *testing.T) {
	rig := rigOf(t, wall)
	code := func(readings []Reading) (codes []routing.Code) {
		r := Study(rig, readings, 3)
		require.Empty(t, r.Corrections())
		for _, f := range r.Findings {
			codes = append(codes, f.Code)
		}
		return codes
	}
	require.Contains(t, code(at(rig, 0, "", by(5), 36, 48)), routing.ReadingsTooFew)
	require.Contains(t, code(append(at(rig, 0, "2026-11-02", by(5), 36, 48), at(rig, 0, "2026-11-03", by(5), 60)...)), routing.ReadingsTooFew)
	require.Contains(t, code(at(rig, 0, "", func(key float64) float64 { return -110 * (key - 36) }, fiveKeys...)), routing.TrackingLost)
	require.Contains(t, code(at(rig, 0, "", by(1300), fiveKeys...)), routing.CorrectionTooLarge)

	slip := at(rig, 0, "", by(0), fiveKeys...)
	slip[3].Hertz /= 2
	slip[3].Pos = profiles.Pos{File: "readings.csv", Line: 5, Column: 1}
	for _, f := range Study(rig, slip, 3).Findings {
		if f.Code == routing.ReadingDoubtful {
			require.Equal(t, 5, f.Pos.Line)
			require.InDelta(t, -1200, *f.Value, 1e-6)
			return
		}
	}
	t.Fatal("nobody noticed the octave")
}

// Two of a stack, 5 cents sharp and 1 flat of what was asked, lie 6 cents too
// near or too far; corrected, they lie as asked.
func TestEffectOnAUnison(t *testing.T) {
	rig := rigOf(t, wall+"parts: {p: {keys: 48-72, unison: {voices: 2, spread: 12 cents}}}\n")
	all := append(at(rig, 0, "", by(5), fiveKeys[1:]...), at(rig, 1, "", by(-1), fiveKeys[1:]...)...)
	r := Study(rig, all, 3)
	after := rigOf(t, wall+"parts: {p: {keys: 48-72, unison: {voices: 2, spread: 12 cents}}}\n")
	after.Corrections = r.Corrections()
	effects := r.Effects(after)
	require.Len(t, effects, 2)
	e := effects[0]
	require.Equal(t, []int{0, 1}, e.Voices)
	require.InDelta(t, 6, e.Before.Worst, 1e-9)
	require.InDelta(t, 6, e.Before.Spread, 1e-9) // 12 asked, and the lower one is 6 cents too high against the other
	require.InDelta(t, 12, e.After.Spread, 0.1)
	require.InDelta(t, 0, e.After.Worst, 0.1)
	// beats of 12 cents at C4: 261.63·(2^(6/1200) − 2^(−6/1200)) = 1.8135 Hz
	require.InDelta(t, 1.8135, float64(e.After.Slowest), 0.02)
	require.Equal(t, 2, effects[1].Before.Unknown)

	moves := r.Moves(after)
	require.Equal(t, Move{0, 36, 0, all2(r, 0)}, moves[0])
}

func all2(r *Result, voice int) profiles.Volts { return r.Voices[voice].Correction.Offset }

func TestReadCSV(t *testing.T) {
	rig := rigOf(t, wall)
	const good = "# measured after an hour\nvoice, key , hertz,date\nK1,C2,65.41,2026-11-02\n2,60,261.6 Hz,\n\"K3\",72,0.5233 kHz,2026-11-03\n"
	readings, faults := ReadCSV("r.csv", []byte(good), rig)
	require.Empty(t, faults)
	require.Equal(t, []Reading{
		{Pos: profiles.Pos{File: "r.csv", Line: 3, Column: 1}, Voice: 0, Volts: 0, Keyed: true, Key: 36, Hertz: 65.41, Date: "2026-11-02"},
		{Pos: profiles.Pos{File: "r.csv", Line: 4, Column: 1}, Voice: 1, Volts: 2, Keyed: true, Key: 60, Hertz: 261.6},
		{Pos: profiles.Pos{File: "r.csv", Line: 5, Column: 1}, Voice: 2, Volts: 3, Keyed: true, Key: 72, Hertz: 523.3, Date: "2026-11-03"},
	}, readings)

	// beats: C4 is 261.6256 Hz, and 440 − 0.7
	readings, faults = ReadCSV("r.csv", []byte("voice,volts,key,beats,reference\nK1,,60,-0.7,\nK1,2.5 V,,-0.7,440\nK1,250 mV,,1 Hz,220\n"), rig)
	require.Empty(t, faults)
	require.InDelta(t, 260.9256, float64(readings[0].Hertz), 1e-4)
	require.Equal(t, []any{profiles.Volts(2.5), profiles.Hertz(439.3)}, []any{readings[1].Volts, readings[1].Hertz})
	require.Equal(t, []any{profiles.Volts(0.25), profiles.Hertz(221)}, []any{readings[2].Volts, readings[2].Hertz})
}

// The same readings as a spreadsheet writes them where the comma is the decimal
// sign (from memory): fields parted by semicolons.
func TestReadCSVWithSemicolons(t *testing.T) {
	rig := rigOf(t, wall)
	want, faults := ReadCSV("r.csv", []byte("#a,b\nvoice,volts,beats,reference\nK1,2.5,-0.7,440\nK2,250 mV,1,220.5 Hz\n"), rig)
	require.Empty(t, faults)
	require.Equal(t, []any{profiles.Volts(2.5), profiles.Hertz(221.5)}, []any{want[0].Volts, want[1].Hertz})
	for _, text := range []string{
		"#a,b\nvoice;volts;beats;reference\nK1;2,5;-0,7;440\nK2;250 mV;1;220,5 Hz\n",
		"#a,b\nvoice; volts;beats;reference\nK1;2.5;-0.7;440\nK2;0,25 V;1,0;220.5 Hz\n",
	} {
		readings, faults := ReadCSV("r.csv", []byte(text), rig)
		require.Empty(t, faults)
		for i := range readings {
			readings[i].Pos = want[i].Pos
		}
		require.Equal(t, want, readings)
	}
	_, faults = ReadCSV("r", []byte("voice;volts;hertz\nK1;1;1.234,5\nK1;1;440;1\n"), rig)
	require.EqualError(t, faults, "r:3:1: this line has more or fewer fields than the head")
	_, faults = ReadCSV("r", []byte("voice;volts;hertz\nK1;1;1.234,5\n"), rig)
	require.EqualError(t, faults, "r:2:6: reading 1.hertz: found \"1.234,5\", want a pitch from 1 Hz to 20 kHz\n    write decimals with a point")
}

func TestReadYAML(t *testing.T) {
	rig := rigOf(t, wall)
	want := []Reading{{Voice: 0, Volts: 2, Keyed: true, Key: 60, Hertz: 261.6, Date: "2026-11-02"},
		{Voice: 1, Volts: 2.5, Hertz: 439.3, Date: "2026-11-02"}}
	for _, text := range []string{
		"date: 2026-11-02\nreference: 440 Hz\nreadings:\n  - {voice: K1, key: C4, hertz: 261.6}\n  - {voice: 2, volts: 2.5 V, beats: -0.7}\n",
		"- {voice: K1, key: 60, hertz: 261.6 Hz, date: 2026-11-02}\n- voice: K2\n  volts: 2.5\n  beats: -0.7\n  reference: 440\n  date: 2026-11-02\n",
	} {
		readings, faults := ReadYAML("r.yaml", []byte(text), rig)
		require.Empty(t, faults)
		for i := range readings {
			readings[i].Pos = profiles.Pos{}
		}
		require.Equal(t, want, readings)
	}
}

func TestFaultyReadings(t *testing.T) {
	rig := rigOf(t, wall)
	for _, c := range []struct{ text, want string }{
		{"", "r:1:1: the file is empty, want a head that names the columns: voice, volts, key, hertz, beats, reference, date"},
		{"voice,hertz\n", "r:1:1: found no readings below the head"},
		{"voice,hz,voice\nK1,1,2\n", "r:1:7: unknown column \"hz\", want some of voice, volts, key, hertz, beats, reference, date\nr:1:10: the column voice stands here twice"},
		{"voice,key,hertz\nK1,60\n", "r:2:1: this line has more or fewer fields than the head"},
		{"voice,key,hertz\nK1,\"60,1\n", "r:2:9: this is no CSV: extraneous or missing \" in quoted-field"},
		{"voice,key,hertz\nÄ1,60,440\n,60,440\n", "r:2:1: reading 1.voice: found the voice \"Ä1\", want K1 to K4, or a number from 1 to 4\nr:3:1: reading 2: voice is missing"},
		{"voice,key,volts,hertz\nK1,60,2,440\nK1,,,440\n", "r:2:4: reading 1.key: volts and key stand side by side, want one\n    leave one of the two out\nr:3:1: reading 2: neither volts nor a key is given"},
		{"voice,key,hertz\nK1,H4,440\nK1,97,440\n", "r:2:4: reading 1.key: key \"H4\": expected a number 0–127 or a name such as C4\nr:3:4: reading 2.key: key 97 wants 5.083 V, and interface main ends at 0 and 5 V"},
		{"voice,volts,hertz\nK1,21,440\nK1,1,0.5\nK1,1,\"440,5\"\nK1,1,NaN\nK1,1,0x10\n", "r:2:4: reading 1.volts: found \"21\", want volts from -20 V to 20 V\n" +
			"r:3:6: reading 2.hertz: found \"0.5\", want a pitch from 1 Hz to 20 kHz\n" +
			"r:4:6: reading 3.hertz: found \"440,5\", want a pitch from 1 Hz to 20 kHz\n    write decimals with a point\n" +
			"r:5:6: reading 4.hertz: found \"NaN\", want a pitch from 1 Hz to 20 kHz\nr:6:6: reading 5.hertz: found \"0x10\", want a pitch from 1 Hz to 20 kHz"},
		{"voice,volts,beats\nK1,1,2\n", "r:2:6: reading 1.beats: beats beside volts, and no reference that they were counted against\n    add reference, in hertz"},
		{"voice,volts,hertz,beats\nK1,1,2,3\nK1,1,,\n", "r:2:8: reading 1.beats: hertz and beats stand side by side, want one\n    leave one of the two out\nr:3:1: reading 2: neither hertz nor beats are given"},
		{"voice,volts,hertz,date\nK1,1,440,02.11.2026\n", "r:2:10: reading 1.date: found the date \"02.11.2026\", want one such as 2026-11-02"},
		{"voice,volts,beats,reference\nK1,1,-99,50\n", "r:2:6: reading 1.beats: 99 beats below 50 Hz leave no pitch"},
		{"voice\xff\n", "r:1:1: the file is not UTF-8"},
	} {
		readings, faults := ReadCSV("r", []byte(c.text), rig)
		require.Nil(t, readings)
		require.EqualError(t, faults, c.want, c.text)
	}
	for _, c := range []struct{ text, want string }{
		{"", "r:1:1: the file is empty, want a list of readings"},
		{"5\n", "r:1:1: found a single value, want a list of readings"},
		{"[]\n", "r:1:1: found no readings"},
		{"readings: 3\n", "r:1:1: readings: readings is missing, want a list of readings"},
		{"data: 1\nreadings: [{voice: K1, key: 60, hertz: 440}]\n", "r:1:1: data: unknown key \"data\", want readings, date, reference or through"},
		{"- K1\n- {voice: [K1], pitch: 3}\n", "r:1:3: (1st): found no map, want a reading such as {voice: K1, key: 60, hertz: 261.6}\n" +
			"r:2:3: (2nd): voice is missing\nr:2:11: (2nd).voice: found no single value for voice\nr:2:17: (2nd).pitch: unknown key \"pitch\", want some of voice, volts, key, hertz, beats, reference, date"},
		{"- &a {voice: K1}\n- *a\n", "r:1:3: (1st): found the anchor &a, anchors are not allowed\nr:2:3: (2nd): found the alias *a, aliases are not allowed\n    write the value again"},
	} {
		readings, faults := ReadYAML("r", []byte(c.text), rig)
		require.Nil(t, readings)
		require.EqualError(t, faults, c.want, c.text)
	}
}

func FuzzReadings(f *testing.F) {
	f.Add("voice,key,hertz\nK1,60,440\n")
	f.Add("- {voice: K1, volts: 1, beats: 2, reference: 440}\n")
	f.Fuzz(func(t *testing.T, text string) {
		rig := rigOf(t, wall)
		for _, read := range []func(string, []byte, *profiles.Rig) ([]Reading, profiles.Faults){ReadCSV, ReadYAML} {
			readings, faults := read("r", []byte(text), rig)
			require.Equal(t, len(readings) == 0, len(faults) > 0)
			for _, fault := range faults {
				require.Positive(t, fault.Pos.Line)
				require.Positive(t, fault.Pos.Column)
			}
			if len(readings) > 0 {
				r := Study(rig, readings, 3)
				for _, c := range r.Corrections() {
					require.False(t, math.IsNaN(float64(c.Offset)) || math.IsNaN(c.Scale), fmt.Sprint(c))
				}
			}
		}
	})
}
