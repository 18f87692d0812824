package contract

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"

	"choirloft/midi"
	"choirloft/profiles"
	"choirloft/routing"
)

// VoltsAt is what a pitch jack puts out at some keys.
type VoltsAt []routing.KeyVolts

// MarshalJSON writes an object from key numbers to volts, by key.
func (v VoltsAt) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	b.WriteByte('{')
	for i, x := range v {
		if i > 0 {
			b.WriteByte(',')
		}
		fmt.Fprintf(&b, "\"%d\":%s", x.Key, strconv.FormatFloat(float64(x.Volts), 'g', -1, 64))
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

// UnmarshalJSON reads what MarshalJSON writes, by key.
func (v *VoltsAt) UnmarshalJSON(data []byte) error {
	var at map[midi.Key]profiles.Volts
	if err := json.Unmarshal(data, &at); err != nil {
		return err
	}
	*v = make(VoltsAt, 0, len(at))
	for key, volts := range at {
		*v = append(*v, routing.KeyVolts{Key: key, Volts: volts})
	}
	slices.SortFunc(*v, func(a, b routing.KeyVolts) int { return cmp.Compare(a.Key, b.Key) })
	return nil
}

func newInterfaces(rig *profiles.Rig) []Interface {
	all := make([]Interface, len(rig.Interfaces))
	for i := range all {
		f := &rig.Interfaces[i]
		all[i] = Interface{Name: f.Name, Profile: optional(f.Profile), CV: f.CV, Gates: f.Gates, Outputs: f.Outputs, PerConnector: f.Connector,
			LowV: float64(f.Window.Low), HighV: float64(f.Window.High),
			RangeSource: givenSource(rig, "interfaces."+f.Name+".window"), ZeroKeySource: givenSource(rig, "interfaces."+f.Name+".zero_key")}
		if f.Scale.HertzPerVolt() {
			hertz, volts := float64(f.Scale.Reference), float64(f.Scale.At)
			all[i].ReferenceHz, all[i].ReferenceV = &hertz, &volts
			continue
		}
		perOctave := float64(f.Scale.PerOctave)
		all[i].VoltsPerOctave, all[i].ZeroKey = &perOctave, &f.ZeroKey
	}
	return all
}
