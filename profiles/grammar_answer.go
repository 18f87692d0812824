package profiles

import (
	"cmp"
	"slices"
)

// The grammar of what the recording of a take said of a voice.

var (
	levelApart  = leaf{between[Decibels](gains, "-60 dB", "60 dB")}
	levelSigma  = leaf{between[Decibels](gains, "0 dB", "60 dB")}
	shortTime   = leaf{between[Duration](times, "0 ms", "1 s")}
	attackTime  = leaf{between[Duration](times, "0 ms", "60 s")}
	releaseTime = leaf{between[Duration](times, "0 ms", "600 s").in("s")}
)

// given makes a field whose value is nil where the file says nothing.
func given[T, V any](key string, s shape, where func(*T) **V, doc, example string) field[T] {
	return field[T]{key: key, shape: s, doc: doc, example: example, set: func(_ *reader, t *T, v any) { *where(t) = new(v.(V)) }}
}

// answerShape is what was measured of a voice; its values are Answer.
var answerShape = object[Answer]{what: "what was measured of a voice", fields: []field[Answer]{
	given("release", releaseTime, func(a *Answer) **Duration { return &a.Release },
		"how long the tail of this voice takes to fall by 60 dB, in place of its kind's", "1.92 s"),
	given("attack", attackTime, func(a *Answer) **Duration { return &a.Attack },
		"how long this voice goes from silence to full, in place of its kind's", "4.1 ms"),
	given("level", levelApart, func(a *Answer) **Decibels { return &a.Level },
		"how loud it is against the median of the voices recorded with it", "-1.2 dB"),
	given("latency", shortTime, func(a *Answer) **Duration { return &a.Latency },
		"by how much it answers behind the quickest voice; write starts it so much early", "3.1 ms"),
	given("min_gate", shortTime, func(a *Answer) **Duration { return &a.MinGate },
		"shortest gate that was found to open it; the longest of all counts where timing has none", "5 ms"),
	may("sigma", sigmaShape, "{}", func(a *Answer) *AnswerSigma { return &a.Sigma },
		"standard deviation of each of these values", "{release: 12 ms, level: 0.1 dB}"),
	may("date", dateWord, "", func(a *Answer) *string { return &a.Date },
		"day of the recording", "2026-11-30"),
	may("notes", whole(0, 10000), "0", func(a *Answer) *int { return &a.Notes },
		"notes of the take that the values rest on", "9"),
	may("path", oneOf[SoundPath](pathNames...), "mix", func(a *Answer) *SoundPath { return &a.Path },
		"what the sound came through: the mix, the submixer of its bank, or the voice alone", "bank"),
	{key: "tuning", shape: dictOf[string, []entry[int, Cents]]{day, dictOf[int, Cents]{keyNumber.scalar.(keyScalar), tunedCents, "cents by key", 128}, "days", 400},
		doc: "by how much keys were sharp, by the day; two days measure the drift", example: "{2026-11-30: {36: 1.2 cents, 60: 1.4 cents}}", set: setTuning},
}}

var tunedCents = leaf{between[Cents](intervals, "-2400 cents", "2400 cents")}

var sigmaShape = object[AnswerSigma]{what: "standard deviations", fields: []field[AnswerSigma]{
	given("release", releaseTime, func(s *AnswerSigma) **Duration { return &s.Release },
		"standard deviation of the release", "12 ms"),
	given("attack", attackTime, func(s *AnswerSigma) **Duration { return &s.Attack },
		"standard deviation of the attack", "0.3 ms"),
	given("level", levelSigma, func(s *AnswerSigma) **Decibels { return &s.Level },
		"standard deviation of the level", "0.1 dB"),
	given("latency", shortTime, func(s *AnswerSigma) **Duration { return &s.Latency },
		"standard deviation of the latency", "0.2 ms"),
}}

// setTuning keeps days in their order, and keys upwards.
func setTuning(_ *reader, a *Answer, v any) {
	for _, day := range v.([]entry[string, []entry[int, Cents]]) {
		d := TunedDay{Date: day.key}
		for _, e := range day.value {
			d.Keys = append(d.Keys, TunedKey{e.key, e.value})
		}
		slices.SortFunc(d.Keys, func(a, b TunedKey) int { return cmp.Compare(a.Key, b.Key) })
		a.Tuning = append(a.Tuning, d)
	}
	slices.SortFunc(a.Tuning, func(a, b TunedDay) int { return cmp.Compare(a.Date, b.Date) })
}
