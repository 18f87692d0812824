// Package profiles reads rig files: which voices there are, what drives them,
// and which musical parts play them by which rules. [Load] reads a rig and the
// profile files that it names; [Read] reads one from memory. Both give a [Rig]
// with every default filled in, or all [Faults] of the file at once, each at
// its line and column.
//
// Files are YAML 1.2 as gopkg.in/yaml.v3 reads it, less what makes two readers
// disagree: one document of at most 1 MiB of UTF-8, without aliases, anchors,
// merge keys, tags or duplicate keys. A key that is not named here is a fault.
//
// [Starter] writes a rig to begin with, [Schema] is the grammar for editors, and
// [Fingerprint] tells one state of a rig from another.
//
// What stays: a key keeps its name and its meaning, and one that is added has a
// default. The eight signs of a fingerprint follow from the file by a formula that
// does not change.
//
// The package does not count jacks, judge a rig or play it.
//
// # Values
//
//	number     digits, perhaps a sign, a point and more digits: 3, -1.2;
//	           neither 010 nor .5 nor 1e3 nor "3"
//	quantity   a number and its unit, a space between them or not: 5 ms, 100 %
//	name       a letter, then letters, digits, - and _, up to 40 characters;
//	           a bank's does not end in a digit, so that K12 is voice 12 of K
//	key        0–127, or a name such as C2, F#3 or Bb-1, with middle_c as its
//	           middle C
//	keys       36-96 or C2-C7, ends included; or one key
//	voice      bank and position from 1: K1
//	input      of all voices of a bank, K.cutoff, or of one, K1.pitch
//	jack       main.cv 21 or main.gate 3, counted from 1
//	currents   a map of +12, -12, +5, +15 and -15 to currents; under ma a
//	           plain number is in mA
//
// Units are ms, s and µs (us); ohm, kohm and Mohm (Ω, kΩ, MΩ); Hz and kHz; V
// and mV; Vpp and mVpp; V/oct; cents; dB; A and mA; %. Widths are in HP, with
// or without the unit. A quantity without its unit is a fault.
//
// # The rig file
//
// Keys with their values, and their defaults behind =. A star stands for any
// name, # for a number from 1.
//
//	rig             name of the rig; needed
//	a4              frequency of key 69: 390–490 Hz                = 440 Hz
//	middle_c        name of key 60: C4, C3                         = C4
//	order
//	  same_instant  offs-first, file                               = offs-first
//	  chords        file, low, outer                               = file
//	interfaces
//	  *             by name
//	    profile     built-in profile, or path of a profile file
//	    cv          jacks, 0–1024
//	    gates       jacks, 0–1024
//	    outputs     0–1024 jacks that each give a CV or a gate, instead
//	    connector   jacks per connector: 1–128                     = 8
//	    window      0 V to 5 V, within ±20 V                       = 0 V to 5 V
//	    full_scale  volts of a full sample, 0.1–20 V               = larger end of window
//	    zero_key    key at 0 V                                     = 36
//	    scale       1 V/oct, or 261.63 Hz at 1 V (Hz/V)            = 1 V/oct
//	    bits        6–32                                           = 16
//	    output_resistance  0 ohm–1 Mohm                            = 100 ohm
//	    gate        1 V–20 V, or S-trig                            = 5 V
//	    active      while a key is down: high, low, closed
//	                                             = high; closed with S-trig
//	    trigger     0.1 ms–1 s: its gates last no longer than this
//	    link        usb, din, audio, usb-high                      = usb
//	    tuning      what adds detune and corrections to a voice's pitch: bend,
//	                in what is dealt, or own, the interface itself = bend
//	    trimmed     true, false: 0.1 % and 2 mV are assumed, or 0.5 % and 10 mV
//	                                                               = true
//	    gain_error  0–10 %, either way                             = trimmed's
//	    offset_error  0 mV–1 V, either way                         = trimmed's
//	    nonlinearity  steps of the converter, 0–4096     = 1; 4 from 16 bits on
//	    update      until a new CV is there, 0 ms–1 s              = 0 ms
//	    settling    time constant of a CV, 0 ms–1 s                = 0 ms
//	    ports       MIDI ports, 1–128       = 2; 4 with more than 32 CVs
//	    row         of the rack, 1–100
//	    hp          width, 0–1000
//	    ma          currents
//	sequencers
//	  *             by name
//	    profile     built-in profile, or path of a profile file
//	    parts       pitch and gate pairs, 1–64                     = 4
//	    window, zero_key, scale, output_resistance, gate, active, trigger
//	                                                               as above
//	voices
//	  *             kinds of voice by name
//	    profile     built-in profile, or path of a profile file    = saw-lowpass
//	    attack      0 ms–60 s                                      = 5 ms
//	    decay       0 ms–600 s                                     = 300 ms
//	    sustain     0–100 %                                        = 100 %
//	    release     to -60 dB, 0 ms–600 s                          = 1.5 s
//	    pitch_resistance  1 kohm–10 Mohm                           = 100 kohm
//	    gate_threshold    0.1 V–20 V                               = 2.5 V
//	    gate_resistance   1 kohm–10 Mohm                           = 100 kohm
//	    gate_input  what opens it: V-trig, S-trig                  = V-trig
//	    group_pitch none, sums, normalled, switched                = none
//	    jacks       inputs by name
//	      *
//	        normal  without a plug: an input of the voice, or volts, -20–20 V
//	        plug    breaks the normal, or sums with it: breaks, sums   = breaks
//	        active  of gate, what opens it: high, low, closed   = gate_input's
//	    has         list of the inputs that a voice has
//	                = [pitch, gate, velocity, cutoff, resonance, level]
//	    inputs      list of those that get a CV or a gate for each voice:
//	                velocity, pressure and what it has     = [pitch, gate]
//	    sound
//	      wave      saw, sine, triangle, square                    = saw
//	      cutoff    of the low-pass at middle C: 100 Hz–20 kHz     = 2 kHz
//	      track     0–100 %                                        = 0 %
//	    drift       from tuning to playing, one sigma, 0–100 cents = 2 cents;
//	                                        10 cents where warm is false
//	    tracking    an octave from trim_key, 0–100 cents           = 3 cents
//	    trim_key    key                                            = 60
//	    compensated  for temperature: true, false                  = true
//	    balance_key  key                                           = 60
//	    measured    list of what somebody measured of these: release, drift
//	banks           needed
//	  *             by name
//	    voices      1–1024, and 4096 in all; needed
//	    kind        kind of voice, of the rig or built in          = saw-lowpass
//	    lanes       list of inputs with one CV for the bank
//	    out         list of positions
//	    limited     map of positions to keys
//	    spare       list of positions
//	    shared      by its voices, from one jack: none, pitch, gate    = none
//	    gates       of voices on one pitch jack: together, in turn = together
//	    use_spare   true, false: the first spare plays in place of
//	                the first voice that is out                    = false
//	    colour      of its cables: brown, red, orange, yellow, green, blue,
//	                violet, grey, white, black   = brown for the first bank, red
//	                for the second, and so on, round (IEC 60062, from 1)
//	    row, hp, ma                                                as above
//	macros
//	  *             by name
//	    from        CC 74 on 16, or CC 74 on port 2 channel 5; needed
//	    to          input or list of inputs; needed
//	parts           = all: {}
//	  *             by name
//	    channel     5, port 2 channel 5, a list of these, mpe lower, mpe upper;
//	                mpe lower 7 with 7 member channels, 1–15 and else 15; none
//	                                               = every channel but 10
//	    keys        as they come in                                = 0-127
//	    velocities  1-127, ends included; or one velocity          = 1-127
//	    transpose   semitones, -48–48                              = 0
//	    bend_range  semitones, 0–96                                = 2
//	    bend_tails  true, false                                    = false
//	    banks       list                                           = all
//	    mode        poly, mono last, mono low, mono high           = poly
//	    reattack    of a mono part, while a key is down: none, press, return,
//	                press and return                               = none
//	    reserve     voices, 0–4096                                 = 0
//	    limit       voices, 1–4096                                 = none
//	    priority    1–100, 1 is highest                            = 1
//	    unison
//	      voices    1–64                                           = 1
//	      spread    total width, 0–2400 cents                      = 12 cents
//	      law       uneven, even, power, power 1.5, golden, random = uneven
//	      detune    belongs to: position, voice                    = position
//	      scaling   what stays the same over the keys: cents, hertz,
//	                between                                        = cents
//	      recentre  true, false                                    = false
//	      pan       0–100 %                                        = 60 %
//	      when_short  blocks, thin, wait, elastic                  = blocks
//	      regrow    of an elastic unison: true, false              = false
//	    pick        longest-idle, lowest, round-robin, strict-round-robin,
//	                same-key, bank-spread, bank-fill, nearest, random;
//	                same-key then another; {fixed: {60: K1, 62: K2}}
//	                                                               = longest-idle
//	    steal       protect-outer, oldest, newest, lowest, highest, quietest,
//	                softest, none, hard-none, fewest-cuts, least-lost,
//	                least-audible
//	                                                               = protect-outer
//	    class_order true, false                                    = true
//	    newcomer    wins, competes                                 = wins
//	    tails       known, unknown                                 = known
//	    same_key    retrigger counted, retrigger first-off, stack fifo,
//	                stack lifo                             = retrigger counted
//	    glide       0 ms–60 s                                      = 0 ms
//	    out_of_range  clamp, fold, drop                            = clamp
//	    seed        from 0                                         = 1
//	timing
//	  gap           0 ms–1 s                                       = 3 ms
//	  min_gate      0 ms–1 s                                       = 5 ms
//	  lead          0 ms–1 s                                       = 1 ms
//	  overlap       0 ms–10 s                                      = 80 ms
//	audible
//	  free          -200–0 dB, at most limit                       = -60 dB
//	  limit         -200–0 dB                                      = -40 dB
//	levels
//	  voice         1 mVpp–50 Vpp                                  = 10 Vpp
//	  shape         saw, sine, triangle, square                    = saw
//	  clip          peak, 0.1 V–50 V                               = 10.5 V
//	  submix        -120–40 dB                                     = -6 dB
//	  main          -120–40 dB                                     = -12 dB
//	hearing
//	  level         of one voice on middle C, 40–100 dB            = 70 dB
//	tuned
//	  warm          true, false: on for 30 minutes                 = true
//	  kelvin        change of temperature, 0–60                    = 0
//	wiring          list of
//	  from          jack, or module that does something; needed
//	  through       direct, passive, passive 3, buffered 4         = direct
//	  to            input, module that does something, or list of these; needed
//	  calibrated_with  inputs, 1–1024                              = 1
//	  normal      behind the panels, without a cable: none, full, half = none
//	pins            map of inputs and macros to jacks
//	gear
//	  *             by name
//	    does        with voltages: passive, passive 3, buffered 4, adder, attenuator,
//	                offset, cv-inverter, gate-or, to-s-trig, from-s-trig, inverter,
//	                trigger: a short gate whenever one begins
//	    gain        of an attenuator, 0.001–1                      = 1
//	    pot         of one without an amplifier, 1 kohm–1 Mohm
//	    volts       of an offset, -20–20 V; it needs them
//	    pulse       of a trigger, how long it is: 0.1 ms–1 s           = 5 ms
//	    inputs      of a mixer, for the submixers of banks: 0–1024
//	    row, hp, ma                                                as above
//	supplies
//	  *             by name
//	    +12, -12, +5, +15, -15  rating, 1 mA–100 A; one at least
//	    feeds       list of banks, interfaces and gear; needed
//	rack
//	  hp            width of a row, 1–1000                         = 104
//	corrections
//	  *             voice
//	    offset      -1 V–1 V                                       = 0 V
//	    scale       0.5–2                                          = 1
//	    measured    2026-11-02
//	    points      map of volts, -20–20 V, to volts to add there, -1 V–1 V
//	    residual    standard deviation that is left, 0–100 cents
//	    readings    list of their volts     = five over the range of the voice
//	    drift       standard deviation from day to day, 0–100 cents
//	    common_drift  the part of drift that all voices have alike, 0–100 cents
//	    days        that drift rests on, 2–1000                    = 2
//	    inputs      on the jack when it was measured, 0–1024  = 0: as many as now
//	    multiples   amplifiers on the way then, 0–64               = as many as now
//	measured
//	  *             voice
//	    release     to -60 dB, 0 ms–600 s                          = its kind's
//	    attack      0 ms–60 s                                      = its kind's
//	    level       against the median of the voices, -60–60 dB
//	    latency     behind the quickest voice, 0 ms–1 s
//	    min_gate    shortest gate that opened it, 0 ms–1 s; the longest of all
//	                voices is timing's min_gate where that is not written
//	    sigma       standard deviations of these
//	      release, attack, latency, level                          as above
//	    date        2026-11-30
//	    notes       of the take, that the values rest on, 0–10000
//	    path        of the sound that was recorded: mix, bank, alone   = mix
//	    tuning      map of days to maps of keys to cents sharp, -2400–2400 cents
//	set_ups
//	  *             by name
//	    from        sequencer or interface, or list of interfaces; needed
//	    parts       map of a sequencer's parts to a bank or a list of banks,
//	                each bank once
//	    pitches     of a sequencer: group, by the common pitch jacks; multiples
//	                                     = group where the kind has one
//	    gates       of a sequencer: multiples, or: a gate-OR for the bank, with
//	                a common input beside those of its voices      = multiples
//	    through     its multiples: passive, passive 3, buffered 4  = passive
//
// Interfaces, sequencers, banks and gear share one set of names. A voice may
// stand under out and under limited: it is out and its limits are kept; out and
// spare exclude each other. A bank with use_spare needs a spare.
//
// Voices on one pitch jack are one voice to every part, by shared: pitch or by a wire. They
// play one note at a time, and their gates open together or in turn. Voices on one gate jack
// have several pitches and one envelope. It falls when the last key goes up.
//
// A part may not ask for more than its banks have. A unison has at most as many voices
// as its banks have without spares; where it waits, as they have in service. The
// uneven pattern ends at 12 voices. A limit must leave room for one unison. Every set of parts
// finds the sum of its reserves among the voices in service of its banks.
//
// A unison that waits begins as soon as its voices are free. Up to timing overlap
// late the note is complete; later it has begun late. It is dropped if its key goes
// up or is played again before. A lower and an upper zone have 14 member channels
// at most between them.
//
// # Profiles
//
// A profile file holds the fields of one interface, sequencer or kind of voice. In
// place of profile it has a first key that says what it is:
//
//	interface: cv32-gate32
//	cv: 32
//	gates: 32
//
// Begin files for a sequencer or a voice the same way. Key names there have middle C as C4. A rig
// names a built-in profile, or the path of a file in its own folder or below.
// What the rig writes beside profile overrides the profile, field by field.
//
// # Tables
//
// The grammar is data: grammar*.go hold one table for each map of fixed keys,
// made of shapes (shape.go), and the same tables read, give defaults, tell
// what is allowed and make the schema. doc.go must name every key of theirs; a test sees to it.
package profiles
