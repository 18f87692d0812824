package wire

import (
	"context"
	"net"
	"sync"
	"time"
)

// vanished is how long a machine that went without a word may be silent; a program
// that ends says so by itself.
const vanished = 4 * time.Second

var keepAlive = net.KeepAliveConfig{Enable: true, Idle: time.Second, Interval: time.Second, Count: 3}

// handover is how long a second connection may wait for the first to end: who
// comes back may be quicker than the news that he had gone.
const handover = 300 * time.Millisecond

// door lets one connection in at a time, and refuses others at once instead of
// letting them wait for somebody who does not hear them.
type door struct {
	net.Listener
	free    chan struct{} // holds one while nobody is in
	next    chan net.Conn
	refused func(from string)
}

func newDoor(at string, refused func(from string)) (*door, error) {
	config := net.ListenConfig{KeepAliveConfig: keepAlive}
	l, err := config.Listen(context.Background(), "tcp", at)
	if err != nil {
		return nil, err
	}
	d := &door{l, make(chan struct{}, 1), make(chan net.Conn, 1), refused}
	d.free <- struct{}{}
	go d.run()
	return d, nil
}

func (d *door) run() {
	defer close(d.next)
	for {
		c, err := d.Accept()
		if err != nil {
			return
		}
		select {
		case <-d.free:
			notice(c)
			d.next <- &guest{TCPConn: c.(*net.TCPConn), door: d}
		case <-time.After(handover):
			c.(*net.TCPConn).SetLinger(0)
			c.Close()
			if d.refused != nil {
				d.refused(c.RemoteAddr().String())
			}
		}
	}
}

// enter waits for a connection.
func (d *door) enter(ctx context.Context) (net.Conn, error) {
	select {
	case c, ok := <-d.next:
		if !ok {
			return nil, net.ErrClosed
		}
		return c, nil
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// guest is a connection; when it is closed the next may come in.
type guest struct {
	*net.TCPConn
	door *door
	once sync.Once
}

func (g *guest) Close() error {
	err := g.TCPConn.Close()
	g.once.Do(func() { g.door.free <- struct{}{} })
	return err
}
