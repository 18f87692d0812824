// Package alloc decides which voice of a stack plays which note.
//
// It is one engine in three layers. The gates follow keys, pedals and mode
// messages and say for every note when its gate should open, pass to a pedal and
// close; voices do not concern them, so run alone they are the reference of what
// the song asks for ([Reference]). The fleet is the voices: what each of them
// does, how loud it is, and the pools that keep them in order; the rules of parts
// do not concern it. [Engine] embeds both, hears the gates and decides by the
// rules which voice each note takes, and from whom. Files of the first two layers
// are named after them. The engine is fed events that are already in order and
// forgets them at once, so replaying a file, exporting it and playing live are
// the same engine, and the same events give the same decisions.
//
// Most users need two calls: [New], and [Engine.Feed] for each step of a song
// (midi.Song.Steps, told the zones of the parts by [ZonesOf]), then [Engine.Finish].
//
// What the engine will not do: it does not order events (midi does), does not
// delay anything (alloc/timing turns decisions into edges), does not count or
// judge (alloc/study does) and does not know volts or jacks.
//
// Terms and rules are those of the trade; where a rule's wording leaves a
// choice open, the choice is written at the rule.
package alloc
