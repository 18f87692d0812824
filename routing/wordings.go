package routing

// wording is how a finding is said, see words.
type wording struct{ text, hint string }

// keysPlayed and keysThere are two ranges of keys.
const (
	keysPlayed = "<low@>-<high@> (<low>-<high>)"
	keysThere  = "<range_low@>-<range_high@> (<range_low>-<range_high>)"
)

// wordings are the words of every finding there is.
var wordings = map[Code]wording{
	PartWithoutVoices: {"no voice of part <part> is in service (<banks* bank>), so it drops every note", "give the part a bank with a voice in service"},
	PartKeptOut:       {"reserves for <parts*> take every voice of part <part> (<voices>), which drops its notes while they rest", "lower a reserve, or keep a voice for <part> too"},
	FixedVoiceOut:     {"key <key> of part <part> is given to <voice>, which is <state>", ""},
	FixedVoiceAway:    {"key <key> of part <part> is given to <voice>, which is in none of its banks", ""},
	FixedKeyOutside:   {"key <key> of part <part> is given to <voice>, which tracks keys <low>-<high> only and would have to sound key <sounding>", ""},
	BankUnused:        {"no part plays on bank <bank> (<voices voice>)", ""},
	BankReadsAsKey: {"voices of <banks5 bank> read as keys: <voice> is a voice here, and a key elsewhere",
		"rename <banks*> to <to*>, here and on the labels"},
	NameReadsAsOther: {"<kind> <name> [has the name of a voice<voice!>|reads as a key]", ""},
	LettersLacking: {"the font of sheets and pictures lacks letters of <names*>: <letters*>",
		"use other letters for -o FILE.pdf and .png, or write .html, .svg, .md or .txt"},
	PartUnreached: {"no voice of part <part> tracks a key from <low> to <high>", ""},
	KeysUnplayed: {"no part plays [keys " + keysPlayed + "|key <low@> (<low>)] on channel <channel>, between parts <below> and <part>",
		"to close it: keys: <low>-<top> under <part>"},
	KeysOverlap: {"[keys " + keysPlayed + " play|key <low@> (<low>) plays] on part <part> and on part <other>", ""},
	SetUpEmpty:  {"set-up <set_up> plays no voice", ""},
	NoInterface: {"[the pitch of <voice> has no jack, so nothing says what its volts stand for|no interface, so every pitch counts as in range]",
		"[name the interface under interfaces<voice!>]"},

	LaneDoesNotFit: {"no jack is left for <lanes>", "[any of these would do: <steps;>|" +
		"missing: <missing jack>; several of these together: fewer voices, fewer inputs for each voice, fewer shared CVs, fewer macros, more interfaces, up to <interfaces> in a rig]"},
	NoChannel: {"no message is left for <lanes>: <interface> has <channels> channels",
		"[<voices> voices need ports: <ports>, or a second interface|name a port that the interface has, or give it more]"},
	JackHeldTwice: {"<lane> [is wired from <first> and from <second>|is pinned to <jack>, but wired from <wired>|is pinned to <jack>, which <holder> holds already]",
		"[outputs are never joined: take one of the two away, or put an adder between (gear: does: adder)<second!>|" +
			"pin it to the jack that it is wired from, or take the pin away<wired!>|" +
			"pin <lane> to another jack; one output to several inputs stands under wiring]"},
	JackOfOtherKind:  {"<lane> comes out of <jack>, <kind>, and needs <needs>", ""},
	PinWithoutLane:   {"<lane> is pinned to <jack>, but nothing drives it", "[add <own> to inputs: of its kind, or remove the pin|add <common_lane> to lanes: of its bank, or remove the pin|remove the pin]"},
	PinnedApart:      {"<voice> has its pitch on <pitch_jack> and its gate on <gate_jack>", "put both on one interface: a voice has one channel"},
	InputDrivenTwice: {"<first> and <second> both drive <input>", "outputs are never joined: remove one, or put an adder between (gear: does: adder)"},
	MessageTwice:     {"<message> on port <port> channel <channel> moves macro <macro> and <lane>", "move the macro by another controller, or on another channel"},
	MacroWouldMove: {"there is room for another macro, but it would move <lanes>",
		"[pin it to a jack that moves nothing: <jack>|pin what must stay before adding one]"},

	PitchBent: {"<jack> was calibrated with <calibrated input> plugged in, and now feeds <feeds>: this <way> <inputs> by <bend-1u>, all alike",
		"[write through: buffered 4 in the set-up, or play each bank by a common pitch jack and a part of its own<set_up!>|" +
			"calibrate with all plugged in (calibrated_with: <feeds>), and unplug none later[<normal!>|; or go through: buffered]]"},
	BuffersStray: {"<levels level> in a row of buffered multiples may move <inputs> by up to <worst.1> cents (<gain_error.1> % and <offset> mV each)",
		"use multiples made for pitch, and calibrate each voice through its own"},
	CorrectionClamped: {"key <key> of <voice> needs <volts.4> V when corrected; the CV range of <interface> falls <missed-1> cents short",
		"trim the voice closer to its scale, or keep to keys inside the range"},
	PitchShared: {"<voices> share one pitch jack, <jack>: [parts <part> and <other> move each other's pitch|they are one voice to part <part>, and play one note at a time]",
		"give each its own jack[, or write mode: <mono>|][, or unison: {voices: <stack>, when_short: blocks}|][ in <parts* part>|]"},
	GatesInTurn: {"<voices> are to open in turn on one pitch jack, <jack>: there a note moves the pitch and a gate together",
		"write gates: together in bank <bank>, or drive it by CVs, from an interface with link: audio"},
	GateShared: {"<voices> share one gate jack, <jack>: [parts <part> and <other> open each other's gates|by MIDI a note opens the gate of its own channel, so that only the first of them is heard<cvs!>|part <part> plays them one by one, and all sound with each of its notes]",
		"give each its own jack[, or drive them by CVs, from an interface with link: audio<cvs!>][, or play them as one: unison: {voices: <stack>, when_short: blocks} in <parts* part>|]"},
	JackOfVoiceOut: {"<voice> has its <input> from <jack>, the jack of <other>, which is out of service: nothing plays it",
		"put <other> into service, or wire the <input> of <voice> from a jack of its own"},
	MultipleFull: {"<multiple> has <outputs> outputs and feeds <inputs> inputs", "put further multiples behind its outputs: <more> more of them"},
	GateTooLow:   {"<volts.2> V reach <inputs>[, <drop.1> V less for the diodes of a gate-OR|]; the threshold is <threshold.2> V, with <spare.0> % to spare <wanted.2> V", gateRaised},
	GateMargin:   {"<volts.2> V reach <inputs>[, <drop.1> V less for the diodes of a gate-OR|]; the threshold is <threshold.2> V, with <spare.0> % to spare <wanted.2> V", gateRaised},
	GatePolarity: {"<interface> gives <gives>; <inputs> <inputs?needs/need> <needs>: <inputs?it/they> " +
		"[<inputs?sounds/sound> while no key is down, and <inputs?stops/stop> with it<sounds_at_rest!>|<inputs?opens/open> when the key goes up<opens_at_end!>|<inputs?sounds/sound> all the time<sounds_always!>|never <inputs?opens/open>]",
		"[turn the normal of the jack down: it adds <normal+2> V|put a converter between (gear: does: <module>)|take out what turns the gate round on its way][: volts on such an input may harm it<harm!>|]"},
	TriggerTooShort: {"[<modules> <modules?gives/give>|<interface> gives] triggers of <length%4> ms, too short to hold a note on <inputs>. It ends with them, even while its key is down",
		"[take <modules> out, or play voices there that have no sustain|set the interface to gates that last as long as the note]"},
	TriggerOpensNothing: {"[<modules> <modules?gives/give>|<interface> gives] triggers of <length%4> ms; <inputs> <inputs?opens/open> by gates of <least%4> ms or more",
		"[write pulse: <least%4> ms for <modules>|write trigger: <least%4> ms for <interface>], or measure which gate opens the voice (choirloft take)"},
	TriggerNotReckoned: {"part <part> [waits for the voices of its unison<waits!>|plays on voices with triggers and without]: its notes count as long as their keys are down, and <voices> <voices?ends/end> sooner",
		"[take the triggers out, or let its unison play in blocks: when_short: blocks<waits!>|give the voices with triggers a part of their own]"},
	ParkUnused: {"<common> adds to the pitch of <voices>. Rest <jack> at <rest> V while the voices play by themselves, and their own jacks while it plays",
		"send <rest> V on whichever side is idle, not its last note"},
	CannotPark: {"<common> adds to the pitch of <voices>. Rest <jack> at <rest> V while the voices play by themselves, and their own jacks while it plays",
		"the CV range of <interface> has no <rest> V: pull the plug instead"},
	NormalBroken: {"<common> from <jack> does not reach <voices>: a plug in a voice's own pitch jack breaks the normal",
		"pull those plugs to play the bank from its common pitch jack, or leave that one empty"},
	NormalAdds: {"the normal of <inputs> adds <adds+2> V to what is plugged in", "turn it down, or tune the voices with it in, and then take it out of the rig; or write plug: breaks if the plug breaks it"},
	PitchScaled: {"<inputs> <inputs?gets/get> <gain.3> times what is sent[ and <adds+2> V more|], through <modules>: key <key> is <worst+1> cents off",
		"plug it in straight[, or tune through it: a correction takes it out<tune!>|]"},
	CVSettlesLate: {"a new CV of <interface> takes <settled.1> ms, and a gate opens <lead.1> ms after it is sent: the pitch is then up to <worst.1> cents off",
		"[timing: {lead: <wanted_lead.1> ms}]"},
	NormalOpen:  {"the normal from <jack> does not reach <inputs>: [a plug in that jack opens it<at_jack!>|a plug there opens it]", "if it should, pull the plug; else take the wire out of the rig"},
	GroupSwitch: {"the switch of bank <bank> chooses between <jack> and the voices' own jacks: <voices>", "write the switch position beside the map"},

	SupplyOverloaded: {overdrawn, borne},
	SupplyTight:      {overdrawn, borne},
	RailMissing:      {"modules draw <drawn.0> mA from <rail+0> V of supply <supply>, which has no such rail", "feed them from another supply, or write its rating"},
	DrawUnknown:      {"the draw of <modules*> is not given, so it counts as nothing", "write ma from the maker's sheet, or measure it"},
	NotFed:           {"<module> draws current, and no supply feeds it", "name it under the feeds of a supply, or remove its ma if it has its own supply"},
	RowTooWide:       {"row <row> holds <width> HP (<modules*>), and the rack has <rack>", "move one to another row, or correct its hp"},
	LinkLate: {"port <port> of <interface> sends a note <late.1> ms late, at bar <at>[. It spreads a chord of <chord> over <spread.1> ms, at bar <chord_at>]",
		"[spread the voices over more interfaces, or send less at once: one packet takes <packet message>|" +
			"link: usb takes <usb_packet message> each millisecond, if the interface has it. Else spread the voices over more ports, or send less at once]"},

	OutOfReach: {"<missed note> of <part> out of range and <handling>[, by up to <worst.1> cents], in <bars?bar/bars> <where…>. It plays " + keysPlayed + ", the CV range has " + keysThere,
		"[transpose: <transpose> fits all of it|no octave fits all of it; zero_key: <zero_key> on <interface> does|" +
			"no octave fits all of it; on an interface of its own, a zero_key <shift> semitones away does|" +
			"no octave fits all of it: split it, or choose a wider CV range]"},
	ZeroKeyOff: {"the song plays " + keysPlayed + ", <keys> keys; the CV range of <interface> has " + keysThere + ", <range_keys> keys. Another key at 0 V fits all of it",
		"zero_key: <zero_key>"},
	WindowTooNarrow: {"the song plays " + keysPlayed + ", <keys> keys; the CV range of <interface> has " + keysThere + ", <range_keys> keys. No key at 0 V fits all of it",
		"[{{; |<of> needs zero_key <zero_key> (<zero_key@>)[, or by whole octaves <octave_key> (<octave_key@>)]}}. " +
			"Give <parts?it/each> voices on an interface of its own, or tune its voices lower and transpose it|" +
			"choose a wider CV range, or parts with fewer keys]"},
	MayClip: {"[<voices> voices behind the submixer of <banks*>|<voices> voices behind the main mixer|a voice alone] " +
		"[pass <passed.1> V for <of_the_time> % of the time, and reach <peak.1> V if all peaks meet|are in step and reach <peak.1> V<in_step!>|reaches <peak.1> V]; the clip is at <clip.1> V",
		"a gain of <never_clips.1> dB never clips[, one of <clips_rarely.1> dB clips <of_the_time> % of the time]; it is <gain.1> dB"},

	UnisonImpossible: {"[part <part> needs <stack> voices for a note and has <voices>|<why>]", "[write voices: <most> at most, or give the part more banks]"},
	UnisonRemainder:  {"part <part> plays stacks of <stack> voices, which leaves <idle> idle", "[write voices: <divides>[, or when_short: <thin>|]|write when_short: <thin>]"},
	UnisonThinned: {"stack <number> of part <part> (<voices>) plays with <left> of <stack> voices: <out> <out?is/are> out",
		"[let a spare of bank <spare_in> stand in: use_spare: true|repair <out?it/them>]"},
	MaySwap: {"positions <low> and <high> of part <part> lie <gap.1> cents apart, less than twice their tuning error (<limit.1> cents). They trade places with a chance of <chance.0> %",
		"choose more spread, fewer voices, or voices that drift less"},
	MayLock: {"positions <low> and <high> of part <part> lie <gap.1> cents apart in one bank, below <limit.1>, and may lock", "choose more spread, or stacks across banks"},
	CommonThrob: {"the voices of part <part> [are evenly spaced and beat together, every <even%3> s|beat together: they are in step again after <period%3> s] at key <key>",
		"[law: <law> stops it|law: <slower> puts it off to <later%3> s]"},
	DetuneTooFine: {"neighbours in part <part> lie <gap%2> cents apart, and the converter of <interface> has steps of <step%2> cents", "choose more spread, or a narrower CV range"},
	PanCentred:    {"part <part> has two voices on a note, both in the centre: apart, one would be flat left and one sharp right", "[for width, write voices: <wide>]"},

	TunedApart: {"<voice> stands apart from bank <bank>: <what> <apart+1u> from the middle of the bank, <z.1> times its usual spread",
		"[leave it: its correction does as well<instead!>|leave it: nobody hears so little<just_heard!>|turn the trimmers listed, then measure it again]"},
	TunedUndetermined: {"nothing tells which voice is the odd one out: [<read> voices of bank <bank> were read, and it takes <least>|" +
		"most voices of bank <bank> read exactly alike, so there is no tuning error to measure by]", "measure more voices of the bank"},
	ReadingsTooFew:  {"too few readings of <voice> for a correction: <volts> on one day, and it takes <least> at different volts", "read it at three keys at least"},
	ReadingDoubtful: {"<hertz.2> Hz at <volts.3> V is <off+0> cents off the other readings of <voice>[, <octaves octave>: it is left out]", "check that key, octave and hertz match"},
	TrackingBent: {"<voice> does not follow one line: its readings are up to <worst-1> cents off it",
		"[the correction is one line, and leaves up to <leaves.1> cents: read the voice at <least key> or more|" +
			"it falls away at the top<top!>: turn up its trimmer for the highest keys, if it has one; else the correction has points|" +
			"the correction has points, straight between them]"},
	TrackingLost: {"the pitch of <voice> [moves by <rise.0> % of what was asked<least!>|falls while the volts rise], from <from.3> to <to.3> V", "check that the cable is in this voice"},
	ReadingsThrough: {"<voices> <voices?has a correction/have corrections> in the rig, and nothing says whether the readings went through <voices?it/them>",
		"write through: corrections or through: nothing at the head of the readings (after a # in CSV), or give --through; until then nothing is written for <voices?it/them>"},
	CorrectionTooLarge: {"<voice> [is <off+1> cents off, which is more than a correction takes|" +
		"does not follow one line, and <points> points are more than the <most> that a correction takes]",
		"[turn its trimmers first, then measure it again<off!>|leave readings out]"},
	VoicesUnmeasured: {"without readings: <voices>", ""},
	VoiceLate: {"<voices> <voices?answers/answer> up to <latency.1> ms behind the quickest voice",
		"write starts <voices?it/them> so much early; live cannot, so keep <voices?it/them> for slow parts there"},
	GateTooShort: {"gates may be as short as <shortest%3> ms, and <voices> <voices?needs/need> up to <needed%3> ms",
		"raise min_gate under timing, or leave it out: what was measured then counts"},
	PitchUnwritten: {"a take measured <voices>, and wrote no pitch of <voices?it/them>", "turn the trimmers that tune names, then record the take again with a date; or give --instead-of-trimming"},
	MovedApart: {"<voice> moved by <moved+1> cents from <from> to <to>[, the others by <others+1>|]. Drift explains up to <explained.1>",
		"if its trimmer was turned, say --turned <voice>: its days begin anew. If not, look for what heats or loads it"},
	DriftUnmeasured: {"read on one day only: <voices>", "measure them again on another day, with dates: one day does not show drift"},
}

// gateRaised is what lets a gate reach its input: each was tried.
const gateRaised = "[raise the gate to <raise.1> V[, feed fewer inputs from the jack<fewer!>|][, or go through: buffered<buffered!>|]|" +
	"feed fewer inputs from the jack<fewer!>[, or go through: buffered<buffered!>|]|go through: buffered<buffered!>|take a module with lower losses, or a voice with a lower threshold]"

// overdrawn and borne speak of a rail that bears too much.
const (
	overdrawn = "modules draw <drawn.0> mA from <rail+0> V of supply <supply>: <share.1> % of <rating.0> mA; <most_share.0> % are <bearable.0> mA"
	borne     = "[no supply has a rail of <lacking_rail+0> V, from which <lacking*> <lacking?draws/draw>: no split bears that|" +
		"<alone*> <alone?draws/draw> too much from <alone_rail+0> V for any supply alone: no split bears that|" +
		"none of <tried> splits over up to <supplies> such supplies bears it; there may be another|" +
		"no split over up to <supplies> such supplies bears it|" +
		"this split carries it, at <split.0> % at most: {{; |<of>: <modules*>}}]"
)

// factWords are what facts are called beside a finding, where their name alone does not
// say it.
var factWords = map[string]string{
	"apart": "from the median", "alone": "alone too much", "alone_rail": "from", "bearable": "current advised", "bend": "pitch bent by", "calibrated": "inputs when calibrated",
	"chance": "chance to trade places", "clips_rarely": "gain that clips rarely", "draw": "draw counted", "gain_error": "gain error of each",
	"gap": "apart by", "high": "highest key", "keys": "span", "lacking": "without a rail", "lacking_rail": "rail", "late": "late by", "leaves": "leaves up to", "length": "trigger", "limit": "too close below", "low": "lowest key",
	"missed": "beyond the range", "most_share": "load advised", "never_clips": "gain that never clips", "off": "off by", "offset": "offset of each", "octaves": "octaves off",
	"passed": "rare peak", "peak": "if all peaks meet", "period": "beats every", "range_high": "highest in range", "range_low": "lowest in range", "range_keys": "in range",
	"rest": "rest at", "rise": "moved, of what was asked", "share": "load", "spare": "to spare", "split": "load after the split", "spread": "chord spread over", "step": "converter step",
	"top": "up to", "wanted": "threshold with that", "wanted_lead": "lead wanted", "worst": "at worst", "zero_key": "key at 0 V", "octave_key": "by whole octaves",
}
