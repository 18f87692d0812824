package say

import (
	"fmt"
	"strconv"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/profiles/unit"
)

// jackName names a jack by its kind and number, as in cv 3.
func jackName(j *contract.Jack) string {
	if j == nil {
		return unit.None
	}
	kind := j.Kind
	if kind == "output" {
		kind = "out"
	}
	return kind + " " + strconv.Itoa(j.Jack)
}

// address is the MIDI port and channel that move a jack.
func address(j *contract.Jack) (port, channel string) {
	if j == nil || j.Port == nil {
		return unit.None, unit.None
	}
	return strconv.Itoa(*j.Port), strconv.Itoa(*j.Channel)
}

// connector is the connector of a jack and the place on it.
func connector(j *contract.Jack) string {
	if j == nil {
		return unit.None
	}
	return fmt.Sprintf("%d-%d", j.Connector, j.Place)
}

// message is what moves a jack.
func message(j *contract.Jack) string {
	if j == nil || j.Message == nil {
		return unit.None
	}
	return *j.Message
}
