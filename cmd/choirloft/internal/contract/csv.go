package contract

import (
	"encoding/csv"
	"io"
)

// CSV writes records as RFC 4180 has it.
func CSV(w io.Writer, records [][]string) error {
	c := csv.NewWriter(w)
	c.UseCRLF = true
	return c.WriteAll(records)
}
