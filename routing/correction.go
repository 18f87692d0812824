package routing

import (
	"choirloft/profiles"
)

// Corrections returns what measuring says of each voice, by index into
// Rig.Voices: what the rig has under corrections, and where it has nothing a
// correction that changes nothing (Scale 1, no Residual, no place in the file).
func Corrections(rig *profiles.Rig) []profiles.Correction {
	all := make([]profiles.Correction, len(rig.Voices))
	for i := range all {
		all[i] = profiles.Correction{Voice: i, Scale: 1}
	}
	for _, c := range rig.Corrections {
		all[c.Voice] = c
	}
	return all
}

// CorrectedVolts is what a voice must be sent for a pitch: VoltsAt, corrected.
// It is not checked against the window.
func CorrectedVolts(f *profiles.Interface, a4 profiles.Hertz, c *profiles.Correction, pitch float64) profiles.Volts {
	return c.Apply(VoltsAt(f, a4, pitch))
}

// CorrectedPitch is the pitch that an interface must be asked for so that it
// puts out CorrectedVolts, in keys: what an uncorrected interface is sent as a
// key and a bend. With hertz per volt it is −Inf where the volts are not above
// 0.
func CorrectedPitch(f *profiles.Interface, a4 profiles.Hertz, c *profiles.Correction, pitch float64) float64 {
	return PitchAt(f, a4, CorrectedVolts(f, a4, c, pitch))
}

// CorrectionCents is by how many cents the interface must be asked for more at
// a pitch: 100·(CorrectedPitch − pitch). To first order the uncorrected voice
// is out of tune there by as much, the other way.
func CorrectionCents(f *profiles.Interface, a4 profiles.Hertz, c *profiles.Correction, pitch float64) float64 {
	return 100 * (CorrectedPitch(f, a4, c, pitch) - pitch)
}
