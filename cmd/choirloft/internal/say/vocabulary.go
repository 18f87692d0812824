package say

import "choirloft/alloc/study"

// endingTerms are the endings of notes.
var endingTerms = [study.NumEndings]Term{
	study.Complete:         {Name: "complete", Means: "sounded to the end, its tail included.", Plain: true},
	study.Superseded:       {Name: "retriggered", Means: "its key was played again on its voice."},
	study.Dropped:          {Name: "dropped", Means: "never sounded: it got no voice.", Plain: true},
	study.LateStart:        {Name: "began late", Means: "waited for the voices of its unison, for longer than the overlap allows."},
	study.BornCut:          {Name: "stolen at once", Means: "lost its voice within the shortest gate."},
	study.HeldCut:          {Name: "stolen while held", Means: "lost its voice while its key was down.", Plain: true},
	study.OverlapOnly:      {Name: "overlap trimmed", Means: "cut as it was about to end: within 80 ms, unless the rig says otherwise."},
	study.PedalCut:         {Name: "stolen while sustained", Means: "lost its voice while the pedal held it."},
	study.TailCutOwnKey:    {Name: "tail cut by its own note", Head: "Tail cut, own", Means: "its key was played again over its audible tail.", Plain: true},
	study.TailCutOtherKey:  {Name: "tail cut by another note", Head: "Tail cut, another", Means: "another note took its voice, and cut an audible tail.", Plain: true},
	study.TailCutInaudible: {Name: "inaudible tail cut", Means: "another note cut its tail once nobody could hear it."},
}

// causeTerms are why notes were cut short or dropped; see [causeLabels].
var causeTerms = []Term{
	{Name: "too few voices", Means: "more keys were down than there are voices."},
	{Name: "pedal", Means: "keys and sustained notes together were more than there are voices."},
	{Name: "tails", Means: "there were voices enough, but their tails were still sounding."},
	{Name: "rule", Means: "the rule took the voice, or refused one, though another could be had."},
	{Name: "out of range", Means: "no voice can be driven to the pitch."},
	{Name: "reserved", Means: "voices were free, but reserved for other parts or past the part's limit."},
	{Name: "unison", Means: "there were voices, but not as many as the unison takes."},
	{Name: "overlap", Means: "the note was about to end anyway."},
}

// noteTerms are what else can be said of notes.
var noteTerms = []Term{
	{Name: "wrong pitch", Means: "out of the CV range, so played at its end or octaves off."},
	{Name: "unplayed", Means: "no part plays its channel, key or velocity."},
	{Name: "thinned", Means: "played on fewer voices than its unison asks for."},
	{Name: "late", Means: "its gate opened later than the note: a gate must go low first, or a unison waited."},
	{Name: "swallowed", Means: "ended by the note-off of the note before on the same key."},
	{Name: "stuck", Means: "has no note-off: held to the end of the song."},
	{Name: "lone note-off", Means: "has no note to end: ignored."},
	{Name: "no length", Means: "ends where it begins: held for the shortest gate."},
	{Name: "outer", Means: "the lowest or the highest note that sounds."},
}

// stateTerms are the states of voices, by their names in a rig.
var stateTerms = []Term{
	{Name: "in", Means: "in service."},
	{Name: "out", Means: "out of service: no note plays on it."},
	{Name: "limited", Means: "in service for some keys only."},
	{Name: "spare", Means: "kept back until it stands in for another."},
}

// resultTerms are the numbers of a song on some voices.
var resultTerms = []Term{
	{Name: "cut or dropped", Means: "notes that lost some of their key or pedal time, or all."},
	{Name: "cut short", Means: "lost some of its key or pedal time."},
	{Name: "best possible", Means: "no rule can cut or drop fewer."},
	{Name: "best possible lost", Head: "Least possible", Means: "no rule can lose less.", Unit: "s"},
	{Name: "lost", Means: "key and pedal time that did not sound.", Unit: "s", Plain: true},
	{Name: "release tail", Means: "what sounds after the key is up: short, tail."},
	{Name: "tails cut", Means: "audible tails cut by another note.", Plain: true},
	{Name: "loudest", Means: "the loudest tail cut, against its note.", Unit: "dB"},
	{Name: "level", Means: "how loud the note or its tail was when it was cut.", Unit: "dB", Plain: true},
	{Name: "peak", Means: "voices needed for keys, with pedal, with audible tails."},
	{Name: "voices needed", Means: "as many as the peak needs."},
	{Name: "keys", Means: "voices needed for the keys alone."},
	{Name: "with pedal", Head: "Pedal", Means: "voices needed for keys and sustained notes."},
	{Name: "with tails", Head: "Tails", Means: "voices needed for keys, sustained notes and audible tails."},
	{Name: "more audible", Means: "share of the song that needs more voices, tails included.", Unit: "%"},
	{Name: "notes", Means: "how many notes were played.", Plain: true},
	{Name: "song", Means: "its file.", Plain: true},
	{Name: "part", Means: "of the rig.", Plain: true},
	{Name: "bank", Means: "of the rig.", Plain: true},
	{Name: "voice", Means: "by its bank and its place there.", Plain: true},
	{Name: "voices", Means: "how many there are.", Plain: true},
	{Name: "in service", Means: "how many of them play.", Plain: true},
	{Name: "key", Means: "by its name and MIDI number; outer is the lowest or highest that sounds.", Plain: true},
	{Name: "bar.beat", Means: "where in the song: 9.1 is beat 1 of bar 9, 9.2½ half a beat after its second.", Plain: true},
	{Name: "time", Means: "where in the song, in minutes and seconds.", Unit: "min:s", Plain: true},
	{Name: "what happened", Means: "the ending.", Plain: true},
	{Name: "cause", Means: "why the note was cut short or dropped.", Plain: true},
	{Name: "taken by", Means: "the note that has the voice now.", Plain: true},
	{Name: "held", Means: "share of the song with the gate high.", Unit: "%"},
	{Name: "sounding", Means: "share with the voice audible, tails included.", Unit: "%"},
	{Name: "jump", Head: "Jump (st)", Means: "largest step between notes, in semitones.", Unit: "semitones"},
	{Name: "wanted", Head: "Peak", Means: "the most voices needed at one moment."},
	{Name: "plan code", Means: "changes with the rig and with every override."},
}

// ruleTerms are how parts get their voices.
var ruleTerms = []Term{
	{Name: "hears tails", Means: "the rule can tell a silent voice from a fading one."},
	{Name: "deaf to tails", Means: "the rule cannot tell a silent voice from a fading one."},
	{Name: "tails first, then sustained, then held", Means: "the order in which notes lose their voices."},
}

// fixTerms are what is tried, and how it is told.
var fixTerms = []Term{
	{Name: "fix", Means: "something to try, with what it leaves.", Plain: true},
	{Name: "effort", Means: "what a fix takes: setting, export, sound, playing, recording, wiring, buying."},
	{Name: "each voice out in turn", Means: "what is lost if one voice fails."},
	{Name: "one change at a time", Means: "what moves the result, and which way."},
}

// pitchTerms are about what a voice is driven to.
var pitchTerms = []Term{
	{Name: "CV range", Means: "the keys between the lowest and the highest voltage of a jack.", Unit: "keys"},
	{Name: "key at 0 V", Means: "the key that 0 V stands for."},
	{Name: "common pitch jack", Means: "moves the pitch of every voice of a bank."},
	{Name: "detune pattern", Means: "how the voices of a unison are spread in pitch."},
	{Name: "tuning error", Means: "how far off a voice may be, by what is measured or assumed.", Unit: "cents"},
	{Name: "beat together", Means: "all voices of an evenly spaced unison swell at the same moment."},
	{Name: "oscillators lock", Means: "two oscillators so near in pitch that they may fall into step."},
	{Name: "drift", Means: "how far the pitch wanders between two tunings.", Unit: "cents"},
}

// rackTerms are about jacks and cables.
var rackTerms = []Term{
	{Name: "control", Means: "what a CV moves beside pitch, such as the cutoff."},
	{Name: "shared CV", Means: "one CV for a control of all voices of a bank."},
	{Name: "MIDI connection", Means: "one port, over one cable or one USB stream."},
}
