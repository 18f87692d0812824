package wire

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net"
	"os"
	"strings"
	"time"
)

// ErrInUse is the error where another session writes to the same file or FIFO.
var ErrInUse = errors.New("another choirloft live writes to it")

// Kind is what an endpoint is.
type Kind uint8

// The kinds.
const (
	Standard Kind = iota // standard input or output
	Path                 // a file, a FIFO or a character device
	Dial                 // connects over TCP
	Listen               // is connected to over TCP
	System               // a MIDI port of the system, by its name
)

// Endpoint is one end of a stream.
type Endpoint struct {
	Name string // as it was given
	Kind Kind
	at   string // path, address or name of the port
}

// Streams are the standard ones.
type Streams struct {
	In  io.Reader
	Out io.Writer
}

// Forms says how endpoints are written.
const Forms = "- (standard input or output), a path, tcp://HOST:PORT to connect, tcp://:PORT to be connected to from this machine, or rtmidi://NAME"

// Parse reads the name of an endpoint.
func Parse(name string) (Endpoint, error) {
	if name == "-" {
		return Endpoint{name, Standard, ""}, nil
	}
	if at, ok := strings.CutPrefix(name, "tcp://"); ok {
		host, port, err := net.SplitHostPort(at)
		switch {
		case err != nil || port == "":
			return Endpoint{}, fmt.Errorf("found %q, want tcp://HOST:PORT or tcp://:PORT", name)
		case !isPort(port, host == ""):
			return Endpoint{}, fmt.Errorf("%s: found port %s, want a number from 1 to 65535", name, port)
		case host == "":
			return Endpoint{name, Listen, net.JoinHostPort("127.0.0.1", port)}, nil
		}
		return Endpoint{name, Dial, at}, nil
	}
	if at, ok := strings.CutPrefix(name, "rtmidi://"); ok {
		if !systemPorts {
			return Endpoint{}, fmt.Errorf("%s: this program was built without the ports of the system; build it with go build -tags rtmidi ./cmd/choirloft", name)
		}
		return Endpoint{name, System, at}, nil
	}
	if name == "" || strings.Contains(name, "://") {
		return Endpoint{}, fmt.Errorf("found %q, want %s", name, Forms)
	}
	return Endpoint{name, Path, name}, nil
}

// isPort tells whether a port is one: a number, or a service that the system knows.
// Whoever is connected to may leave the choice to the system, by 0.
func isPort(port string, listens bool) bool {
	n, err := net.LookupPort("tcp", port)
	return err == nil && (n > 0 || listens)
}

// Same tells whether two ends are the same place to be connected to.
func (e Endpoint) Same(other Endpoint) bool {
	_, port, _ := net.SplitHostPort(e.at)
	return e.Kind == Listen && other.Kind == Listen && e.at == other.at && port != "0"
}

// Ends tells whether the end of an input is its end for good: standard input and
// files, while FIFOs, devices and connections may come back.
func (e Endpoint) Ends() bool {
	switch e.Kind {
	case Standard:
		return true
	case Path:
		info, err := os.Stat(e.at)
		return err != nil || info.Mode().IsRegular()
	}
	return false
}

// Opener opens endpoints again and again; it keeps listening between them.
type Opener struct {
	Endpoint
	// Refused hears of those who wanted to connect while somebody was connected;
	// set it before Start.
	Refused func(from string)
	door    *door
	file    *os.File // opened by Start for the first Read or Write
	input   bool
	made    bool // by Start, and nothing is in it yet
}

// Close stops listening. A file that Start made goes again where Begin was not
// called.
func (o *Opener) Close() {
	if o.door != nil {
		o.door.Close()
	}
	if o.file != nil {
		o.file.Close()
	}
	if o.made {
		os.Remove(o.at)
	}
}

// Begin empties the file that is written to, once it is known that the session
// begins.
func (o *Opener) Begin() error {
	o.made = false
	if o.file == nil || o.input {
		return nil
	}
	return o.file.Truncate(0)
}

// Start begins to listen, or opens what can be opened at once, so that a port that
// is taken, a path that is not there, a folder and what may not be read or written
// are known before anything sounds. A file to write is made where there is none,
// and an older one is as it was until Begin; devices are not made.
func (o *Opener) Start(input bool) (err error) {
	o.input = input
	switch o.Kind {
	case Listen:
		o.door, err = newDoor(o.at, o.Refused)
	case Path:
		err = o.startPath(input)
	}
	return err
}

func (o *Opener) startPath(input bool) error {
	info, err := os.Stat(o.at)
	missing := errors.Is(err, fs.ErrNotExist)
	switch {
	case missing && !input && !strings.HasPrefix(o.at, "/dev/"):
	case missing && !input:
		return errors.New("there is no such device")
	case err != nil:
		return err
	case info.IsDir():
		return errors.New("this is a folder, want a FIFO or a device")
	case !info.Mode().IsRegular():
		return permitted(o.at, info.Mode(), input)
	}
	if input {
		o.file, err = os.Open(o.at)
		return err
	}
	if o.file, err = os.OpenFile(o.at, os.O_WRONLY|os.O_CREATE, 0o666); err != nil {
		return err
	}
	o.made = missing
	if err := Lock(o.file); err != nil {
		o.file.Close()
		o.file, o.made = nil, false
		return err
	}
	return nil
}

// Address is where it listens; empty where it does not.
func (o *Opener) Address() string {
	if o.door == nil {
		return ""
	}
	return o.door.Addr().String()
}

// Read opens an input. It may wait for whoever writes; the context ends that
// where the system lets it.
func (o *Opener) Read(ctx context.Context, s Streams) (io.ReadCloser, error) {
	switch o.Kind {
	case Standard:
		return io.NopCloser(s.In), nil
	case Path:
		if f := o.file; f != nil {
			o.file = nil
			return f, nil
		}
		return os.OpenFile(o.at, os.O_RDONLY, 0)
	case System:
		return systemIn(o.at)
	}
	return o.connect(ctx)
}

// Write opens an output. What it wrote into a file before stays there.
func (o *Opener) Write(ctx context.Context, s Streams) (io.WriteCloser, error) {
	switch o.Kind {
	case Standard:
		return nopCloser{s.Out}, nil
	case Path:
		if f := o.file; f != nil {
			o.file = nil
			return f, nil
		}
		return o.reopen(ctx)
	case System:
		return systemOut(o.at)
	}
	return o.connect(ctx)
}

// letGoSoon is how long a guard may take to let go of an output that broke.
const letGoSoon = time.Second

// reopen opens a path that is written to, and takes it for this session alone: two
// that play into one FIFO or file would mix their bytes. A device may know better.
func (o *Opener) reopen(ctx context.Context) (*os.File, error) {
	f, err := os.OpenFile(o.at, os.O_WRONLY|os.O_APPEND, 0)
	if err != nil {
		return nil, err
	}
	info, err := f.Stat()
	if err == nil && info.Mode()&os.ModeDevice == 0 {
		for until := time.Now().Add(letGoSoon); ; time.Sleep(10 * time.Millisecond) {
			if err = Lock(f); !errors.Is(err, ErrInUse) || ctx.Err() != nil || time.Now().After(until) {
				break
			}
		}
	}
	if err != nil {
		f.Close()
		return nil, err
	}
	return f, nil
}

type nopCloser struct{ io.Writer }

func (nopCloser) Close() error { return nil }

func (o *Opener) connect(ctx context.Context) (net.Conn, error) {
	if o.Kind == Listen {
		return o.door.enter(ctx)
	}
	d := net.Dialer{KeepAliveConfig: keepAlive, Timeout: vanished}
	c, err := d.DialContext(ctx, "tcp", o.at)
	if err == nil {
		notice(c)
	}
	return c, err
}
