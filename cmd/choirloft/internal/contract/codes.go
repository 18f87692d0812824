package contract

import "choirloft/routing"

// Codes explains codes of findings.
type Codes struct {
	Version int    `json:"version"`
	Codes   []Code `json:"codes"`
}

// Code explains one code of a finding.
type Code struct {
	Code     string `json:"code"`
	Severity string `json:"severity"` // its usual one
	Meaning  string `json:"meaning"`
	WayOut   string `json:"way_out"`
}

// NewCodes explains these codes.
func NewCodes(codes []routing.CodeInfo) *Codes {
	c := &Codes{Version: Version, Codes: make([]Code, len(codes))}
	for i, x := range codes {
		c.Codes[i] = Code{string(x.Code), x.Severity.String(), x.Meaning, x.WayOut}
	}
	return c
}
