// Package stream reads MIDI as it comes over a wire, byte by byte (MIDI 1.0
// detailed specification, sections 2 and 4). [Parser.Next] takes the next byte
// and says which message it completes.
//
// A status byte always starts afresh, whatever was begun before it. Real-time
// messages may stand anywhere, also within others, and disturb nothing. Running
// status is kept as the standard has it: real-time messages leave it alone,
// system common and exclusive ones end it. What cannot be a message is counted
// and skipped. Nothing is allocated, and no input makes it fail.
package stream

// Message is one message: a channel message, or a system message with its
// status alone and its data bytes, 0 where there is none.
type Message struct {
	Status, Data1, Data2 uint8
}

// Realtime tells whether it is a real-time message: clock, start, active
// sensing and the like.
func (m Message) Realtime() bool { return m.Status >= 0xF8 }

// Channel tells whether it is a channel message.
func (m Message) Channel() bool { return m.Status < 0xF0 }

// The real-time messages that say something of the line.
const (
	ActiveSensing = 0xFE
	SystemReset   = 0xFF
)

// Parser reads one stream. The zero Parser stands at its beginning.
type Parser struct {
	status uint8 // that data bytes are for; 0 for none
	data1  uint8
	have   uint8 // data bytes so far
	need   uint8 // of the message
	sysex  bool
	// lost is the status of the last message that was cut short, and counts.
	lost  uint8
	bad   int
	stray int
}

// Next takes the next byte. Broken tells that a message was cut short by it, or
// that it belongs to none: something was lost before it. Where ok is set, m is
// a message that is complete.
func (p *Parser) Next(b byte) (m Message, ok, broken bool) {
	switch {
	case b >= 0xF8:
		return Message{Status: b}, true, false
	case b >= 0x80:
		return p.begin(b)
	case p.sysex:
		return Message{}, false, false
	case p.status == 0:
		p.lost = 0
		p.stray++
		return Message{}, false, true
	}
	return p.data(b)
}

// begin takes a status byte.
func (p *Parser) begin(b byte) (m Message, ok, broken bool) {
	if broken = p.have > 0; broken {
		p.lost = p.status
		p.bad++
	}
	sysex := p.sysex
	p.have, p.sysex, p.status, p.need = 0, false, b, dataBytes(b)
	switch b {
	case 0xF0:
		p.status, p.sysex = 0, true
	case 0xF7:
		p.status = 0
		if !sysex {
			p.stray++
		}
	case 0xF4, 0xF5: // undefined: what follows is skipped
		p.status, p.sysex = 0, true
	case 0xF6:
		p.status = 0
		return Message{Status: b}, true, broken
	}
	return Message{}, false, broken
}

// data takes a data byte of a message.
func (p *Parser) data(b byte) (m Message, ok, broken bool) {
	p.have++
	if p.have < p.need {
		p.data1 = b
		return Message{}, false, false
	}
	m = Message{Status: p.status, Data1: b}
	if p.need == 2 {
		m.Data1, m.Data2 = p.data1, b
	}
	p.have = 0
	if p.status >= 0xF0 {
		p.status = 0 // system common messages have no running status
	}
	return m, true, false
}

// dataBytes is how many data bytes a status takes.
func dataBytes(status uint8) uint8 {
	switch {
	case status < 0xC0, status >= 0xE0 && status < 0xF0, status == 0xF2:
		return 2
	case status < 0xE0, status == 0xF1, status == 0xF3:
		return 1
	}
	return 0
}

// Broken counts what could not be read: messages that were cut short, and bytes
// that belong to none.
func (p *Parser) Broken() (messages, bytes int) { return p.bad, p.stray }

// Lost is the status of what was last found broken: 0 where nothing tells.
func (p *Parser) Lost() uint8 { return p.lost }

// Reset goes back to the beginning of a stream, as after a disconnect. The
// counts stay. It tells whether a message had been begun.
func (p *Parser) Reset() (cut bool) {
	cut = p.have > 0
	p.status, p.have, p.sysex = 0, 0, false
	return cut
}
