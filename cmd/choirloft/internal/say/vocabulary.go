package say

import "choirloft/alloc/study"

// endingTerms are the endings of notes.
var endingTerms = [study.NumEndings]Term{
	study.Complete:         {Name: "complete", Means: "sounded to the end, its tail included.", Plain: true},
	study.Superseded:       {Name: "retriggered", Means: "its key was played again on its voice, or its mono part went on to another key."},
	study.Dropped:          {Name: "dropped", Means: "never sounded: it got no voice.", Plain: true},
	study.LateStart:        {Name: "began late", Means: "waited for the voices of its unison, for longer than the overlap allows."},
	study.BornCut:          {Name: "stolen at once", Means: "lost its voice within the shortest gate."},
	study.HeldCut:          {Name: "stolen while held", Means: "lost its voice while its key was down.", Plain: true},
	study.OverlapOnly:      {Name: "overlap trimmed", Means: "cut within 80 ms of its end, or what the rig says."},
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
	{Name: "wrong pitch", Key: "clamped", Means: "out of the CV range, so played at its end or octaves off."},
	{Name: "unplayed", Key: "unmapped", Means: "no part plays its channel, key or velocity."},
	{Name: "thinned", Key: "thinned", Means: "played on fewer voices than its unison asks for."},
	{Name: "repitched", Key: "repitched", Means: "its tail went on at the pitch of the next note, from the same pitch jack."},
	{Name: "too long", Key: "too_long", Means: "sounded after its key, since another key held the gate that they share."},
	{Name: "late", Key: "late", Means: "its gate opened later than the note: a gate must go low first, or a unison waited."},
	{Name: "swallowed", Key: "swallowed", Means: "ended by the note-off of the note before on the same key."},
	{Name: "stuck", Key: "stuck", Means: "has no note-off: held to the end of the song."},
	{Name: "lone note-off", Key: "orphan", Means: "has no note to end: ignored."},
	{Name: "no length", Key: "zero_length", Means: "ends where it begins: held for the shortest gate."},
	{Name: "outer", Means: "the lowest or the highest note that sounds."},
}

// stateTerms are the states of voices, by their names in a rig.
var stateTerms = []Term{
	{Name: "in", Means: "in service."},
	{Name: "out", Means: "out of service: no note plays on it."},
	{Name: "limited", Means: "in service for some keys only."},
	{Name: "spare", Means: "kept back until it stands in for another."},
	{Name: "joined", Means: "plays what another voice plays, from the same pitch jack."},
}

// resultTerms are the numbers of a song on some voices.
var resultTerms = []Term{
	{Name: "cut or dropped", Means: "notes that lost some of their key or pedal time, or all."},
	{Name: "cut short", Means: "lost some of its key or pedal time."},
	{Name: "best possible", Means: "no rule can cut or drop fewer."},
	{Name: "best possible lost", Head: "Least possible", Means: "no rule can lose less.", Unit: "s"},
	{Name: "lost", Means: "key and pedal time that did not sound.", Unit: "s", Plain: true},
	{Name: "release tail", Means: "what sounds after the key is up; tail for short."},
	{Name: "tails cut", Means: "audible tails cut by another note.", Plain: true},
	{Name: "loudest", Means: "the loudest tail cut, against its note.", Unit: "dB"},
	{Name: "level", Means: "how loud the note or its tail was when it was cut.", Unit: "dB", Plain: true},
	{Name: "peak", Means: "voices needed for keys, with pedal, with audible tails."},
	{Name: "voices needed", Means: "as many as the peak needs."},
	{Name: "keys", Head: "Held", Means: "voices needed for the keys alone."},
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
	{Name: "time", Means: "where in the song.", Unit: "min:s", Plain: true},
	{Name: "what goes missing", Means: "the note, its ending, and the note that has the voice now.", Plain: true},
	{Name: "not heard", Means: "less than 1 dB: nobody tells the two apart."},
	{Name: "faint", Means: "from 1 dB: you tell the two apart if you play both in turn."},
	{Name: "plain", Means: "from 3 dB: who knows the song is likely to notice."},
	{Name: "heard loss", Head: "Heard", Means: "how much you would miss: ▁ ▂ faint from 1 dB, ▃ to █ plain from 3 dB.", Unit: "dB"},
	{Name: "heard losses", Head: "Losses heard", Means: "how many losses you would hear."},
	{Name: "plain losses", Head: "Losses plain", Means: "how many losses you would plainly hear.", Plain: true},
	{Name: "needed by ear", Head: "By ear", Means: "voices on which nothing goes missing that you would hear."},
	{Name: "seconds heard", Means: "how long you would hear something missing.", Unit: "s", Plain: true},
	{Name: "seconds plain", Means: "how long you would plainly hear something missing.", Unit: "s", Plain: true},
	{Name: "heard time", Head: "Heard", Means: "how long you would hear something missing; Plain: plainly."},
	{Name: "plain time", Head: "Plain", Means: "how long you would plainly hear something missing.", Plain: true},
	{Name: "worst song", Means: "the song of which you would hear the most missing, and for how long.", Plain: true},
	{Name: "cause", Means: "why the note was cut short or dropped.", Plain: true},
	{Name: "held", Means: "share of the song with the gate high.", Unit: "%"},
	{Name: "sounding", Means: "share with the voice audible, tails included.", Unit: "%"},
	{Name: "jump", Head: "Jump (st)", Means: "largest step between notes, in semitones.", Unit: "semitones"},
	{Name: "bar", Means: "of the song or of the line check, from 1.", Plain: true},
	{Name: "track", Means: "its name in the file.", Plain: true},
	{Name: "keys played", Head: "Keys", Means: "the lowest and the highest key played.", Plain: true},
	{Name: "pedal used", Means: "whether the sustain pedal goes down.", Plain: true},
	{Name: "plan code", Means: "changes with the rig and with every override."},
}

// ruleTerms are how parts get their voices.
var ruleTerms = []Term{
	{Name: "release", Means: "how long a tail takes to fall by 60 dB.", Unit: "s"},
	{Name: "unison of voices", Means: "several voices on one note."},
	{Name: "sustained", Means: "held by the pedal after its key is up."},
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
	{Name: "volts at a key", Head: "V at %s", Means: "what the jack gives for that key.", Unit: "V", Plain: true},
	{Name: "detune pattern", Means: "how the voices of a unison are spread in pitch."},
	{Name: "detune", Means: "how far a voice is off the note in its unison, sharp or flat.", Unit: "cents", Plain: true},
	{Name: "detune in cents", Head: "Cents", Means: "detune of the voice in its unison.", Unit: "cents", Plain: true},
	{Name: "spread", Means: "from the lowest to the highest voice of a stack.", Unit: "cents", Plain: true},
	{Name: "pan", Means: "place between left and right.", Unit: "per cent of the way", Plain: true},
	{Name: "place in a stack", Head: "Place", Means: "among the voices of a note, as in 1 of 4.", Plain: true},
	{Name: "stack", Means: "voices that play one note together, by number.", Plain: true},
	{Name: "position in a unison", Head: "Position", Means: "place among the voices of a note, the lowest pitch first.", Plain: true},
	{Name: "one position", Head: "%d", Means: "the voice at that position.", Plain: true},
	{Name: "two positions", Head: "%d-%d", Means: "how fast these two positions beat.", Unit: "Hz", Plain: true},
	{Name: "beats", Head: "Beats, in Hz", Means: "how often a second two voices swell and fade.", Unit: "Hz", Plain: true},
	{Name: "beat with the next", Head: "Hz to next, %s", Means: "beat with the next position above, at that key.", Unit: "Hz", Plain: true},
	{Name: "slowest", Means: "the two positions that beat slowest, and one swell of theirs.", Plain: true},
	{Name: "fastest", Means: "the two positions that beat fastest.", Plain: true},
	{Name: "beat together", Means: "all voices of an evenly spaced unison swell at the same moment."},
	{Name: "oscillators lock", Means: "two oscillators so near in pitch that they may fall into step."},
	{Name: "tuning error", Means: "how far off a voice may be, by what is measured or assumed.", Unit: "cents", Plain: true},
	{Name: "voices alike", Head: "Voices", Means: "of a bank, side by side, that may be as far off.", Plain: true},
	{Name: "step", Means: "half a step of the converter.", Unit: "cents"},
	{Name: "interface error", Head: "Box", Means: "gain, offset, non-linearity and settling of the interface.", Unit: "cents"},
	{Name: "load", Means: "what all inputs on the jack pull it off by.", Unit: "cents"},
	{Name: "normal", Means: "what the normal of its pitch input adds.", Unit: "cents"},
	{Name: "buffers", Means: "gain and offset of buffered multiples on the way.", Unit: "cents"},
	{Name: "tracking", Head: "Track", Means: "how far the oscillator leaves its scale, temperature included.", Unit: "cents"},
	{Name: "clamping", Head: "Clamp", Means: "what the end of the CV range takes.", Unit: "cents"},
	{Name: "calibration", Head: "Calibr.", Means: "what a correction leaves.", Unit: "cents"},
	{Name: "drift", Means: "how far the pitch wanders between two tunings.", Unit: "cents"},
	{Name: "worst key", Head: "At", Means: "the key it plays where it may be furthest off."},
	{Name: "cause of error", Head: "Cause", Means: "what moves the pitch of the voice.", Plain: true},
	{Name: "cents of a cause", Head: "Cents", Means: "how far, as the next column has it.", Unit: "cents", Plain: true},
	{Name: "kind of error", Head: "As", Means: "exactly so, at most so far either way, by a deviation, or by what a fit leaves.", Plain: true},
	{Name: "basis", Head: "Basis", Means: "measured, given in the rig, or assumed.", Plain: true},
	{Name: "rig key", Head: "By", Means: "the key of the rig that says it, or would.", Plain: true},
	{Name: "known shift", Head: "Known", Means: "what load, a normal, modules and the CV range do, sharp or flat.", Unit: "cents"},
	{Name: "likely", Means: "95 % of errors stay within.", Unit: "cents"},
	{Name: "worst", Means: "99.9 % of errors stay within.", Unit: "cents"},
}

// tuneTerms are what readings say of a voice.
var tuneTerms = []Term{
	{Name: "readings", Head: "Read", Means: "how many keys were read.", Plain: true},
	{Name: "cents sharp", Head: "Cents", Means: "how sharp the voice is, in the middle of its readings.", Unit: "cents"},
	{Name: "cents an octave", Head: "/octave", Means: "cents too wide an octave: its scale.", Unit: "cents"},
	{Name: "z", Head: "z", Means: "how far the voice stands from its bank (modified z-score), above 3.5! apart."},
	{Name: "limit of a fit", Head: "±", Means: "cents: 95 % of further readings lie nearer to the correction.", Unit: "cents"},
	{Name: "off line", Means: "cents from the fitted line to the reading furthest from it.", Unit: "cents"},
	{Name: "keys in tune now", Head: "Keys %s now", Means: "keys within so many cents, as the rig says now.", Plain: true},
	{Name: "corrected", Means: "keys at which it is then in tune; by hand: to be turned, so not written."},
	{Name: "tuning error now and corrected", Head: "Tuning error", Means: "what 95 % stay within, now and corrected, in cents, at the worst key; * rests on assumed values, ? is not known before it is measured.", Unit: "cents"},
}

// jackTerms are about what drives a voice.
var jackTerms = []Term{
	{Name: "number", Head: "No.", Means: "of the voice in the rig, from 1.", Plain: true},
	{Name: "state", Means: "in, OUT, LIMITED with its keys, SPARE, or FOR the voice it stands in for.", Plain: true},
	{Name: "jack", Means: "of the interface, by its kind and number.", Plain: true},
	{Name: "pitch jack", Head: "Pitch", Means: "the jack that drives its pitch.", Plain: true},
	{Name: "gate jack", Head: "Gate", Means: "the jack that opens its gate.", Plain: true},
	{Name: "cable of the pitch", Head: "Pitch", Means: "the cable that leads to its pitch.", Plain: true},
	{Name: "cable of the gate", Head: "Gate", Means: "the cable that leads to its gate.", Plain: true},
	{Name: "CV jack", Head: "CV", Means: "the jack that drives its pitch.", Plain: true},
	{Name: "connector", Head: "Conn.", Means: "connector and the place on it, pitch before gate."},
	{Name: "port", Means: "MIDI port, from 1.", Plain: true},
	{Name: "channel", Head: "Ch.", Means: "MIDI channel, 1-16; 1/2 is that of the pitch and that of the gate.", Plain: true},
	{Name: "port and channel", Head: "MIDI", Means: "port and channel; by notes where no message stands beside."},
	{Name: "macro", Means: "the one knob of several inputs.", Plain: true},
	{Name: "message", Means: "the MIDI message that moves the jack.", Plain: true},
	{Name: "moved inputs", Head: "Moves", Means: "the inputs that it moves.", Plain: true},
	{Name: "signal", Means: "what it carries.", Plain: true},
	{Name: "via", Means: "what the cable goes through.", Plain: true},
	{Name: "cable", Means: "its name.", Plain: true},
	{Name: "comes from", Head: "From", Means: "the jack or the module that the cable comes out of.", Plain: true},
	{Name: "leads to", Head: "To", Means: "the input that the cable leads to.", Plain: true},
	{Name: "led to", Head: "Before", Means: "where the cable led on the plan that this one replaces.", Plain: true},
	{Name: "set-ups", Means: "those in which the cable is plugged.", Plain: true},
	{Name: "length", Means: "to buy, from the places in the rack; a proposal.", Unit: "cm", Plain: true},
	{Name: "colour", Means: "of the cable; a proposal.", Plain: true},
	{Name: "control", Means: "what a CV moves beside pitch, such as the cutoff.", Plain: true},
	{Name: "shared CV", Means: "one CV for a control of all voices of a bank."},
	{Name: "MIDI connection", Means: "one port, over one cable or one USB stream."},
	{Name: "audio channel", Head: "Channel", Means: "of the file, from 1.", Plain: true},
	{Name: "from", Means: "the lowest voltage.", Unit: "V", Plain: true},
	{Name: "to", Means: "the highest voltage.", Unit: "V", Plain: true},
	{Name: "full scale", Means: "the voltage of the largest sample.", Unit: "V", Plain: true},
	{Name: "heard", Means: "the key to listen for, four times.", Plain: true},
	{Name: "then", Head: "then", Means: "the keys that follow.", Plain: true},
	{Name: "OK", Means: "to tick.", Plain: true},
	{Name: "roll call", Means: "when it is called: 0.2 s on its parking key, one voice after the other.", Plain: true},
	{Name: "slot", Means: "when its own notes begin.", Plain: true},
	{Name: "parking key", Head: "Parks on", Means: "the key that it rests on: one that no other voice has."},
	{Name: "read keys", Head: "Keys", Means: "the keys that its pitch is read at.", Plain: true},
	{Name: "answers", Means: "what sounded when it was played."},
	{Name: "give or take", Head: "±", Means: "standard deviation of that reading.", Unit: "cents"},
	{Name: "attack", Means: "from silence to full.", Unit: "ms", Plain: true},
	{Name: "voice level", Head: "Level", Means: "of the key nearest to middle C, below full scale.", Unit: "dB"},
	{Name: "latency", Means: "how much later it sounds than the quickest voice.", Unit: "ms"},
	{Name: "shortest gate", Means: "of those of a take, the shortest that opened the voice.", Unit: "ms"},
	{Name: "fade", Means: "the silence after its last note, in which it fades.", Unit: "s", Plain: true},
	{Name: "voices by position", Head: "Voices by position, with their cents", Means: "the voices of the stack, the lowest pitch first.", Plain: true},
}

// listenTerms are about songs as sound.
var listenTerms = []Term{
	{Name: "in the file", Means: "where it begins in the sound file.", Unit: "min:s", Plain: true},
	{Name: "version", Means: "as asked, as played, or what is missing: asked less played.", Plain: true},
	{Name: "first loss there", Head: "Bar.beat", Means: "of the first loss there, or where it begins: 9.1 is beat 1 of bar 9.", Plain: true},
	{Name: "lasts", Means: "how long.", Unit: "min:s", Plain: true},
	{Name: "key heard", Head: "Key", Means: "the key that sounds.", Plain: true},
	{Name: "slowest beat", Head: "Slowest", Means: "how fast the two voices beat that beat slowest.", Unit: "Hz", Plain: true},
	{Name: "fastest beat", Head: "Fastest", Means: "how fast the two voices beat that beat fastest.", Unit: "Hz", Plain: true},
	{Name: "as in the rig", Head: "In the rig", Means: "the pattern and spread that the rig has.", Plain: true},
	{Name: "difference", Means: "how much is heard to be missing at most; 10 is 10 dB or more.", Unit: "dB", Plain: true},
}

// repatchTerms are about ways from one set-up to another.
var repatchTerms = []Term{
	{Name: "pitches by", Means: "how one pitch reaches the voices of a bank.", Plain: true},
	{Name: "gates by", Means: "how one gate reaches them.", Plain: true},
	{Name: "through", Means: "the kind of multiple: passive or buffered.", Plain: true},
	{Name: "moves", Means: "plugs pulled and put in, and switches thrown."},
	{Name: "pull", Means: "cables to pull.", Plain: true},
	{Name: "plug", Means: "cables to plug.", Plain: true},
	{Name: "switch", Means: "switches to throw.", Plain: true},
	{Name: "multiples", Means: "how many it takes.", Plain: true},
	{Name: "gate-ORs", Head: "ORs", Means: "modules that open a gate where any of their inputs is high."},
	{Name: "hold", Means: "jacks that must rest: pitches at 0 V, gates low."},
	{Name: "load in cents", Head: "Load, cents", Means: "how far the inputs together pull the pitch off.", Unit: "cents"},
}

// rackTerms are about levels, supplies and rows.
var rackTerms = []Term{
	{Name: "stage", Means: "of the way from the voices to the output.", Plain: true},
	{Name: "gain", Means: "of the mixer there.", Unit: "dB", Plain: true},
	{Name: "peaks meet", Means: "the peak if all peaks meet.", Unit: "V"},
	{Name: "headroom", Means: "from there to the clip.", Unit: "dB", Plain: true},
	{Name: "passed now and then", Head: "Rare", Means: "the peak that is passed 0.01 % of the time; in step, where peaks meet.", Unit: "V"},
	{Name: "headroom now and then", Head: "Headroom", Means: "from the rare peak to the clip.", Unit: "dB", Plain: true},
	{Name: "clipped", Means: "share of the time.", Unit: "%", Plain: true},
	{Name: "never clips", Means: "the gain at which no peaks clip.", Unit: "dB", Plain: true},
	{Name: "supply", Means: "of the rig.", Plain: true},
	{Name: "rail", Means: "+12, -12 or +5 V.", Plain: true},
	{Name: "drawn", Means: "by all that the supply feeds.", Unit: "mA", Plain: true},
	{Name: "rated", Head: "Of", Means: "what the supply can give.", Unit: "mA", Plain: true},
	{Name: "share", Means: "drawn, of what it can give.", Unit: "%", Plain: true},
	{Name: "feeds", Means: "banks and modules on it.", Plain: true},
	{Name: "row", Means: "of the rack, the top one first.", Plain: true},
	{Name: "HP", Head: "HP", Means: "width.", Unit: "HP", Plain: true},
	{Name: "draws", Means: "current by rail.", Unit: "mA", Plain: true},
	{Name: "modules", Means: "in the row.", Plain: true},
}

// reckonTerms are of tables that compare racks, changes and ways of reckoning.
var reckonTerms = []Term{
	{Name: "cut", Means: "notes cut short.", Plain: true},
	{Name: "more notes", Head: "more", Means: "notes cut or dropped more than with the voice.", Plain: true},
	{Name: "more tails", Head: "more", Means: "tails cut more than with the voice.", Plain: true},
	{Name: "voice out", Means: "the voice that fails.", Plain: true},
	{Name: "with", Means: "what is changed, and to what.", Plain: true},
	{Name: "rack", Means: "banks of so many voices.", Plain: true},
	{Name: "CVs", Head: "CVs", Means: "CV jacks that it takes.", Plain: true},
	{Name: "gates", Means: "gate jacks that it takes.", Plain: true},
	{Name: "current", Means: "what its banks draw, by rail.", Unit: "mA", Plain: true},
	{Name: "price", Means: "in the unit of the prices given.", Plain: true},
	{Name: "best deal", Means: "how many banks for which parts.", Plain: true},
	{Name: "refused one by one", Head: "one by one", Means: "share refused by theory, if notes came one by one.", Unit: "%", Plain: true},
	{Name: "stolen one by one", Head: "one by one", Means: "share stolen by theory, if notes came one by one.", Unit: "%", Plain: true},
	{Name: "chords", Head: "chords", Means: "share stolen by theory, notes as they come.", Unit: "%", Plain: true},
	{Name: "played", Head: "played", Means: "share of the notes played, with its standard error.", Unit: "%", Plain: true},
}
