package hearing

import "math"

// The bands of the ear: every half Cam from 2 to 38.
const (
	Bands     = 73
	firstCam  = 2.0
	camsApart = 0.5
)

// erb returns the equivalent rectangular bandwidth of the auditory filter at a
// frequency, both in Hz (Glasberg & Moore 1990, Hearing Research 47, from memory).
func erb(hz float64) float64 { return float64(24.7 * (float64(4.37/1000*hz) + 1)) }

// cam returns where a frequency in Hz lies on the scale of such bandwidths (the
// same paper).
func cam(hz float64) float64 { return float64(21.4*inLn10) * log(float64(4.37/1000*hz)+1) }

// camHz is the frequency at a place on that scale.
func camHz(cam float64) float64 { return (exp(cam*(math.Ln10/21.4)) - 1) * (1000 / 4.37) }

// hearable is the threshold of hearing of a tone in a free field, in Hz and dB SPL
// (ISO 226:2003, table 1, from memory).
var hearable = [...][2]float64{
	{20, 78.5}, {25, 68.7}, {31.5, 59.5}, {40, 51.1}, {50, 44.0}, {63, 37.5}, {80, 31.5}, {100, 26.5},
	{125, 22.1}, {160, 17.9}, {200, 14.4}, {250, 11.4}, {315, 8.6}, {400, 6.2}, {500, 4.4}, {630, 3.0},
	{800, 2.2}, {1000, 2.4}, {1250, 3.5}, {1600, 1.7}, {2000, -1.3}, {2500, -4.2}, {3150, -6.0},
	{4000, -5.4}, {5000, -1.5}, {6300, 6.0}, {8000, 12.6}, {10000, 13.9}, {12500, 12.3},
}

// threshold returns the threshold in quiet in dB SPL: the table, straight over the
// logarithm of the frequency, and its end values beyond it.
func threshold(hz float64) float64 {
	if hz <= hearable[0][0] {
		return hearable[0][1]
	}
	for i := 1; i < len(hearable); i++ {
		a, b := hearable[i-1], hearable[i]
		if hz <= b[0] {
			return a[1] + float64((b[1]-a[1])*log(hz/a[0]))/log(b[0]/a[0])
		}
	}
	return hearable[len(hearable)-1][1]
}

// toneInNoise is by how much the noise inside the ear lies above the threshold:
// such that a tone at threshold raises the excitation by 1 dB, 10^0.1 − 1 of it.
const toneInNoise = 5.87

// row is a power in each band.
type row [Bands]float64

// ear holds what the bands are; it is the same for all.
type ear struct {
	hz    row // centre
	slope row // p ÷ centre, of the filter
	noise row // inside the ear
}

// theEar is never changed.
var theEar = newEar()

func newEar() *ear {
	e := &ear{}
	for b := range Bands {
		c := camHz(firstCam + float64(camsApart*float64(b)))
		e.hz[b], e.slope[b] = c, 4/erb(c)
		e.noise[b] = power(threshold(c) + toneInNoise)
	}
	return e
}

// BandHz returns the centre of a band, from 0, in Hz.
func BandHz(band int) float64 { return theEar.hz[band] }

// weight returns the share of a power at a frequency that excites a band:
// (1 + pg)·e^(−pg) with g = |f − c| ÷ c and p = 4c ÷ ERB(c) (rounded exponential;
// Patterson et al. 1982, J. Acoust. Soc. Am. 72, from memory).
func (e *ear) weight(band int, hz float64) float64 {
	pg := float64(e.slope[band] * math.Abs(hz-e.hz[band]))
	return (1 + pg) * exp(-pg)
}
