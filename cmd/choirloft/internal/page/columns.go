package page

import (
	"encoding/binary"
	"encoding/json"
	"math"
	"net/http"
)

// columns are numbers that travel beside a head of JSON, all little endian: how long the
// head is as 4 bytes, the head, then the columns, each from a place on that can be divided
// by 8. The head names them in that order, under "columns".
type columns struct {
	List []columnView
	data []byte
}

// columnView is a column as the head has it: u8, u16, i16, u32 or i32 numbers.
type columnView struct {
	Name  string `json:"name"`
	Type  string `json:"type"`
	Count int    `json:"count"`
}

func (c *columns) begin(name, of string, count int) {
	c.pad()
	c.List = append(c.List, columnView{name, of, count})
}

func (c *columns) pad() {
	for len(c.data)%8 > 0 {
		c.data = append(c.data, 0)
	}
}

// u8 adds a column of small numbers, and so on.
func (c *columns) u8(name string, count int, of func(i int) uint8) {
	c.begin(name, "u8", count)
	for i := range count {
		c.data = append(c.data, of(i))
	}
}

func (c *columns) i16(name string, count int, of func(i int) int) {
	c.begin(name, "i16", count)
	for i := range count {
		c.data = binary.LittleEndian.AppendUint16(c.data, uint16(int16(min(math.MaxInt16, max(math.MinInt16, of(i))))))
	}
}

func (c *columns) i32(name string, count int, of func(i int) int) {
	c.begin(name, "i32", count)
	for i := range count {
		c.data = binary.LittleEndian.AppendUint32(c.data, uint32(int32(of(i))))
	}
}

func (c *columns) u32(name string, count int, of func(i int) uint32) {
	c.begin(name, "u32", count)
	for i := range count {
		c.data = binary.LittleEndian.AppendUint32(c.data, of(i))
	}
}

// clock turns seconds into whole numbers of a unit.
type clock struct{ unit float64 }

// newClock is one that can tell the times up to an end: 0.1 ms, or more where such a time
// has no 32 bits.
func newClock(end float64) clock {
	c := clock{1e-4}
	for end/c.unit >= math.MaxUint32 {
		c.unit *= 10
	}
	return c
}

func (c clock) of(seconds float64) uint32 {
	return uint32(min(math.MaxUint32, max(0, math.Round(seconds/c.unit))))
}

// send writes a head, which holds the list of the columns, and them.
func (c *columns) send(w http.ResponseWriter, head any) error {
	c.pad()
	text, err := json.Marshal(head)
	if err != nil {
		return err
	}
	for (4+len(text))%8 > 0 {
		text = append(text, ' ')
	}
	w.Header().Set("Content-Type", "application/octet-stream")
	if _, err := w.Write(append(binary.LittleEndian.AppendUint32(nil, uint32(len(text))), text...)); err != nil {
		return err
	}
	_, err = w.Write(c.data)
	return err
}
