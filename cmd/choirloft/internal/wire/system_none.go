//go:build !rtmidi

package wire

import (
	"errors"
	"io"
)

// systemPorts tells whether the program was built with the ports of the system.
const systemPorts = false

var errNoSystem = errors.New("built without the ports of the system")

func systemIn(string) (io.ReadCloser, error)   { return nil, errNoSystem }
func systemOut(string) (io.WriteCloser, error) { return nil, errNoSystem }
