//go:build rtmidi

package wire

import (
	"fmt"
	"io"
	"strings"
	"sync"

	"gitlab.com/gomidi/midi/v2/drivers"
	"gitlab.com/gomidi/midi/v2/drivers/rtmididrv"

	"choirloft/midi/stream"
)

// systemPorts tells whether the program was built with the ports of the system.
const systemPorts = true

// driver is opened once: the system allows no more.
var driver = sync.OnceValues(rtmididrv.New)

// systemIn opens the first input whose name holds the text.
func systemIn(name string) (io.ReadCloser, error) {
	d, err := driver()
	if err != nil {
		return nil, err
	}
	ins, err := d.Ins()
	if err != nil {
		return nil, err
	}
	var names []string
	for _, in := range ins {
		names = append(names, in.String())
		if strings.Contains(in.String(), name) {
			return listen(in)
		}
	}
	return nil, noPort(name, names)
}

func noPort(name string, names []string) error {
	if len(names) == 0 {
		return fmt.Errorf("no port %q, the system has none", name)
	}
	return fmt.Errorf("no port %q, there are %s", name, strings.Join(names, ", "))
}

// portIn turns messages that are called back into a stream that is read.
type portIn struct {
	in       drivers.In
	stop     func()
	messages chan []byte
	left     []byte
	once     sync.Once
	closed   chan struct{}
}

func listen(in drivers.In) (io.ReadCloser, error) {
	if err := in.Open(); err != nil {
		return nil, err
	}
	p := &portIn{in: in, messages: make(chan []byte, 1024), closed: make(chan struct{})}
	var err error
	p.stop, err = in.Listen(func(m []byte, _ int32) {
		select {
		case p.messages <- append([]byte(nil), m...):
		default: // nobody reads: the next status byte starts afresh
		}
	}, drivers.ListenConfig{ActiveSense: true, TimeCode: true})
	return p, err
}

func (p *portIn) Read(b []byte) (int, error) {
	if len(p.left) == 0 {
		select {
		case p.left = <-p.messages:
		case <-p.closed:
			return 0, io.EOF
		}
	}
	n := copy(b, p.left)
	p.left = p.left[n:]
	return n, nil
}

func (p *portIn) Close() error {
	p.once.Do(func() {
		close(p.closed)
		p.stop()
		p.in.Close()
	})
	return nil
}

// systemOut opens the first output whose name holds the text.
func systemOut(name string) (io.WriteCloser, error) {
	d, err := driver()
	if err != nil {
		return nil, err
	}
	outs, err := d.Outs()
	if err != nil {
		return nil, err
	}
	var names []string
	for _, out := range outs {
		names = append(names, out.String())
		if strings.Contains(out.String(), name) {
			return &portOut{Out: out}, out.Open()
		}
	}
	return nil, noPort(name, names)
}

// portOut cuts a stream into the messages that a port takes.
type portOut struct {
	drivers.Out
	parser stream.Parser
}

func (p *portOut) Write(data []byte) (int, error) {
	for i, b := range data {
		m, ok, _ := p.parser.Next(b)
		if !ok {
			continue
		}
		message := []byte{m.Status, m.Data1, m.Data2}
		if kind := m.Status >> 4; kind == 0xC || kind == 0xD {
			message = message[:2]
		}
		if err := p.Send(message); err != nil {
			return i, err
		}
	}
	return len(data), nil
}
