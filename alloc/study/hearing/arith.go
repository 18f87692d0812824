package hearing

import "math"

// The same figures on every machine take two things. A compiler may fuse a
// product and a sum into one rounding where the processor can; the language
// forbids it across a conversion, so products that are added to stand in
// float64(…). And exponentials and logarithms come from + − × ÷ alone, for those
// of package math are written by hand for some processors. What is used of math
// moves bits or is rounded exactly (IEC 60559).

const (
	ln2High = 0x1.62e42fee00000p-1 // its last bits are 0: times a small whole number it is exact
	ln2Low  = 0x1.a39ef35793c76p-33
	inLn2   = 1 / math.Ln2
	inLn10  = 1 / math.Ln10
	parts   = 32 // of an octave, in exp
)

// octave holds 2^(i ÷ parts).
var octave = func() (list [parts]float64) {
	root := 2.0
	for range 5 { // 2⁵ parts
		root = math.Sqrt(root)
	}
	list[0] = 1
	for i := 1; i < parts; i++ {
		if list[i] = float64(list[i-1] * root); i%2 == 0 {
			list[i] = float64(list[i/2] * list[i/2])
		}
	}
	return list
}()

// exp returns e^x, within some units of the last place; 0 below −700. x is at most
// 700.
func exp(x float64) float64 {
	if x < -700 {
		return 0
	}
	k := math.Floor(float64(x*(parts*inLn2)) + 0.5)
	r := x - float64(k*(ln2High/parts)) - float64(k*(ln2Low/parts)) // within ±0.011
	sum := 1.0 / 720                                                // the rest is below r⁷/7! = 4·10⁻¹⁸
	sum = 1.0/120 + float64(r*sum)
	sum = 1.0/24 + float64(r*sum)
	sum = 1.0/6 + float64(r*sum)
	sum = 1.0/2 + float64(r*sum)
	sum = 1 + float64(r*sum)
	sum = 1 + float64(r*sum)
	n := int64(k)
	return float64(sum*octave[n&(parts-1)]) * math.Float64frombits(uint64(n>>5+1023)<<52)
}

const (
	logParts = 128 // of 1, in log
	logLow   = 90  // of them, at most √½
	logHigh  = 182
)

// logs holds the natural logarithm of i ÷ logParts, from logLow on.
var logs = func() (list [logHigh - logLow]float64) {
	for i := range list {
		list[i] = series21(float64(float64(logLow+i) / logParts))
	}
	return list
}()

// log returns the natural logarithm of a normal x > 0, within some units of the
// last place: that of a near number from the table, and that of the ratio by its
// series.
func log(x float64) float64 {
	bits := math.Float64bits(x)
	k := int64(bits>>52) - 1023
	m := math.Float64frombits(bits&(1<<52-1) | 1023<<52)
	if m > math.Sqrt2 {
		m, k = m/2, k+1
	}
	i := int(float64(m*logParts) + 0.5)
	near := float64(float64(i) / logParts)
	r := (m - near) / near // within ±0.0056
	sum := 1.0/6 - float64(r*(1.0/7))
	sum = 1.0/5 - float64(r*sum)
	sum = 1.0/4 - float64(r*sum)
	sum = 1.0/3 - float64(r*sum)
	sum = 1.0/2 - float64(r*sum)
	sum = float64(r * (1 - float64(r*sum)))
	return float64(float64(k)*math.Ln2) + (logs[i-logLow] + sum)
}

// series21 returns the natural logarithm of a number from 0.7 to 1.42.
func series21(m float64) float64 {
	s := (m - 1) / (m + 1) // within ±0.1765
	q := float64(s * s)
	sum := 1.0 / 21
	for n := 19; n > 0; n -= 2 {
		sum = 1/float64(n) + float64(q*sum)
	}
	return float64(2 * s * sum) // 2·(s + s³/3 + s⁵/5 + …)
}

// decibels returns ten times the decimal logarithm of a ratio of powers.
func decibels(ratio float64) float64 { return float64(10*inLn10) * log(ratio) }

// power returns the ratio of powers that makes so many dB.
func power(db float64) float64 { return exp(db * (math.Ln10 / 10)) }
