package contract

import "choirloft/routing/plan"

// Override is a setting for one run: its kind as a flag has it, as in "same_key", its
// part (for zero_key its interface), empty for every one, and its value as a rig file writes it.
type Override struct {
	Kind  string `json:"kind"`
	Part  string `json:"part"`
	Value string `json:"value"`
}

// NewOverrides are overrides as values.
func NewOverrides(o plan.Overrides) []Override {
	list := []Override{}
	for _, w := range o.Words() {
		list = append(list, Override{w.Kind(), w.Part, w.Value})
	}
	return list
}

// ReadOverrides is the inverse of [NewOverrides]. Its errors are those of
// [plan.ParseWords].
func ReadOverrides(list []Override) (plan.Overrides, error) {
	words := make([]plan.Word, len(list))
	for i, v := range list {
		words[i] = plan.WordOf(v.Kind, v.Part, v.Value)
	}
	return plan.ParseWords(words)
}
