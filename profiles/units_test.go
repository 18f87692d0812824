package profiles

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// The expected numbers are the written ones times the power of ten of their
// prefix; 1 percent is 0.01.
func TestQuantities(t *testing.T) {
	for _, row := range []struct {
		text  string
		shape scalar
		want  any
	}{
		{"5 ms", between[Duration](times, "0 ms", "1 s"), 5 * time.Millisecond},
		{"5ms", between[Duration](times, "0 ms", "1 s"), 5 * time.Millisecond},
		{" 5  ms ", between[Duration](times, "0 ms", "1 s"), 5 * time.Millisecond},
		{"2.4 s", between[Duration](times, "0 ms", "60 s"), 2400 * time.Millisecond},
		{"0.1 s", between[Duration](times, "0 ms", "60 s"), 100 * time.Millisecond},
		{"320 µs", between[Duration](times, "0 ms", "60 s"), 320 * time.Microsecond},
		{"320 us", between[Duration](times, "0 ms", "60 s"), 320 * time.Microsecond},
		{"0.0004 µs", between[Duration](times, "0 ms", "1 s"), Duration(0)}, // 0.4 ns is nearest to 0
		{"0.0006 µs", between[Duration](times, "0 ms", "1 s"), Duration(1)}, // 0.6 ns is nearest to 1
		{"100 kohm", between[Ohms](resistances, "0 ohm", "1 Mohm"), Ohms(100e3)},
		{"100 kΩ", between[Ohms](resistances, "0 ohm", "1 Mohm"), Ohms(100e3)},
		{"100 k\u2126", between[Ohms](resistances, "0 ohm", "1 Mohm"), Ohms(100e3)}, // the ohm sign
		{"47 Ω", between[Ohms](resistances, "0 ohm", "1 Mohm"), Ohms(47)},
		{"1 Mohm", between[Ohms](resistances, "0 ohm", "1 Mohm"), Ohms(1e6)},
		{"100 %", between[Share](shares, "0 %", "100 %"), Share(1)},
		{"33.3%", between[Share](shares, "0 %", "100 %"), Share(0.333)},
		{"-60 dB", between[Decibels](gains, "-200 dB", "0 dB"), Decibels(-60)},
		{"−60 dB", between[Decibels](gains, "-200 dB", "0 dB"), Decibels(-60)}, // typographic minus
		{"10 Vpp", between[VoltsPeakToPeak](swings, "0 Vpp", "50 Vpp"), VoltsPeakToPeak(10)},
		{"3 A", between[Amperes](currents, "1 mA", "100 A"), Amperes(3)},
		{"380 mA", between[Amperes](currents, "1 mA", "100 A"), Amperes(0.38)},
		{"380", between[Amperes](currents, "0 mA", "100 A").orBare("mA"), Amperes(0.38)},
		{"12 cents", between[Cents](intervals, "0 cents", "2400 cents"), Cents(12)},
		{"1 cent", between[Cents](intervals, "0 cents", "2400 cents"), Cents(1)},
		{"440 Hz", between[Hertz](frequencies, "390 Hz", "490 Hz"), Hertz(440)},
		{"0.44 kHz", between[Hertz](frequencies, "390 Hz", "490 Hz"), Hertz(440)},
		{"-1.2 mV", between[Volts](voltages, "-1 V", "1 V"), Volts(-0.0012)},
		{"+5 V", between[Volts](voltages, "-20 V", "20 V"), Volts(5)},
	} {
		v, c := row.shape.parse(&reader{}, written{text: row.text})
		require.Nil(t, c, row.text)
		require.Equal(t, row.want, v, row.text)
	}
}

// Both sides of both limits, as doc.go has them.
func TestLimits(t *testing.T) {
	for _, row := range []struct {
		at, low, below, high, above string
	}{
		{"a4", "390 Hz", "389.99 Hz", "490 Hz", "490.01 Hz"},
		{"timing.gap", "0 ms", "-0.001 ms", "1 s", "1000.1 ms"},
		{"timing.min_gate", "0 ms", "-1 µs", "1000 ms", "1.001 s"},
		{"timing.lead", "0 ms", "-1 ms", "1 s", "2 s"},
		{"timing.overlap", "0 ms", "-1 ms", "10 s", "10.001 s"},
		{"audible.free", "-200 dB", "-200.1 dB", "-40 dB", "0.1 dB"},
		{"audible.limit", "-60 dB", "-200.1 dB", "0 dB", "0.1 dB"},
		{"levels.voice", "1 mVpp", "0.9 mVpp", "50 Vpp", "50.1 Vpp"},
		{"levels.clip", "100 mV", "0.09 V", "50 V", "50.1 V"},
		{"levels.submix", "-120 dB", "-121 dB", "40 dB", "41 dB"},
		{"levels.main", "-120 dB", "-121 dB", "40 dB", "41 dB"},
		{"rack.hp", "1", "0", "1000 HP", "1001 HP"},
		{"voices.k.attack", "0 ms", "-1 ms", "60 s", "60.1 s"},
		{"voices.k.decay", "0 ms", "-1 ms", "600 s", "600.1 s"},
		{"voices.k.release", "0 s", "-1 ms", "600 s", "600.1 s"},
		{"voices.k.sustain", "0 %", "-1 %", "100 %", "100.1 %"},
		{"voices.k.pitch_resistance", "1 kohm", "999 ohm", "10 Mohm", "10.1 Mohm"},
		{"voices.k.gate_threshold", "0.1 V", "99 mV", "20 V", "20.1 V"},
		{"voices.k.drift", "0 cents", "-1 cents", "100 cents", "101 cents"},
		{"interfaces.i.cv", "1", "-1", "1024", "1025"},
		{"interfaces.i.connector", "1", "0", "128", "129"},
		{"interfaces.i.bits", "6", "5", "32", "33"},
		{"interfaces.i.full_scale", "0.1 V", "99 mV", "20 V", "20.1 V"},
		{"interfaces.i.output_resistance", "0 ohm", "-1 ohm", "1 Mohm", "1.1 Mohm"},
		{"interfaces.i.gate", "1 V", "0.9 V", "20 V", "20.1 V"},
		{"interfaces.i.ports", "1", "0", "128", "129"},
		{"interfaces.i.zero_key", "0", "-1", "127", "128"},
		{"interfaces.i.scale", "0.1 V/oct", "0.09 V/oct", "10 V/oct", "10.1 V/oct"},
		{"interfaces.i.window", "-20 V to 20 V", "-20.1 V to 20 V", "0 V to 0.1 V", "0 V to 20.1 V"},
		{"interfaces.i.row", "1", "0", "100", "101"},
		{"sequencers.s.parts", "1", "0", "64", "65"},
		{"parts.p.transpose", "-48", "-49", "48", "49"},
		{"parts.p.bend_range", "0", "-0.1", "96", "96.1"},
		{"parts.p.reserve", "0", "-1", "4096", "4097"},
		{"parts.p.limit", "1", "0", "4096", "4097"},
		{"parts.p.priority", "1", "0", "100", "101"},
		{"parts.p.glide", "0 ms", "-1 ms", "60 s", "61 s"},
		{"parts.p.seed", "0", "-1", "9223372036854775807", "9223372036854775808"},
		{"parts.p.channel", "1", "0", "16", "17"},
		{"parts.p.keys", "0-127", "-1-127", "127", "0-128"},
		{"parts.p.velocities", "1-127", "0-127", "127", "1-128"},
		{"parts.p.unison.voices", "1", "0", "64", "65"},
		{"parts.p.unison.spread", "0 cents", "-1 cents", "2400 cents", "2401 cents"},
		{"parts.p.unison.law", "power 0.1", "power 0.09", "power 10", "power 10.1"},
		{"parts.p.unison.pan", "0 %", "-1 %", "100 %", "101 %"},
		{"corrections.K1.offset", "-1 V", "-1001 mV", "1000 mV", "1.001 V"},
		{"corrections.K1.residual", "0 cents", "-0.1 cents", "100 cents", "100.1 cents"},
		{"corrections.K1.drift", "0 cents", "-0.1 cents", "100 cents", "100.1 cents"},
		{"corrections.K1.scale", "0.5", "0.49", "2", "2.01"},
		{"banks.L.voices", "1", "0", "1024", "1025"},
		{"banks.L.hp", "0", "-1", "1000", "1001"},
	} {
		for _, text := range []string{row.low, row.high} {
			require.Empty(t, readOne(row.at, text), "%s: %s", row.at, text)
		}
		for _, text := range []string{row.below, row.above} {
			faults := readOne(row.at, text)
			require.Len(t, faults, 1, "%s: %s", row.at, text)
			require.Equal(t, row.at, faults[0].Path, "%s: %s", row.at, text)
		}
	}
}
