package deal

import (
	"bufio"
	"io"

	"choirloft/routing/wave"
)

// Caution belongs wherever a file of CVs is named.
const Caution = "Control voltages, not sound: DC that must never reach monitors, speakers or headphones. " +
	"Send each channel to a DC-coupled output alone, marked as such, with monitors off."

// file is what is known of it before its samples are. A mask of 0 says that no
// channel is a speaker.
func (c *CV) file() *wave.File {
	f := &wave.File{Rate: c.Rate, Channels: len(c.Channels), Float: c.Float, Frames: c.Frames,
		Name: c.Plan.Rig.Name + " [" + c.Plan.Code() + "]: CV", Comment: Caution}
	for i := range c.Channels {
		f.Tracks = append(f.Tracks, wave.Track{Name: c.Channels[i].Name, Function: "CV"})
	}
	return f
}

// Bytes is the size of the file.
func (c *CV) Bytes() int64 { return c.file().Bytes() }

// Large tells whether the file is RF64, since RIFF ends at 4 GiB.
func (c *CV) Large() bool { return c.file().Large() }

// Write writes the file: the names of its channels first, then the samples, in
// pieces.
func (c *CV) Write(to io.Writer) error {
	w, f := bufio.NewWriterSize(to, 1<<16), c.file()
	if _, err := w.Write(f.Head()); err != nil {
		return err
	}
	if err := c.player().write(w); err != nil {
		return err
	}
	if _, err := w.Write(f.Pad()); err != nil {
		return err
	}
	return w.Flush()
}
