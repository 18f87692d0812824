package profiles

import (
	"bytes"
	"encoding/json"
	"errors"

	"gopkg.in/yaml.v3"
)

//go:generate env UPDATE_GOLDEN=1 go test -count=1 -run ^TestSchemaFile$ .

// Schema returns a JSON Schema (draft 2020-12) of the rig file, for editors:
// it lists the keys with what they mean, their defaults, and what they allow.
// It is made of the tables that [Read] reads by; rig.schema.json is a copy.
//
// A schema sees less than Read does, so what it lets pass may still have
// faults: sizes of quantities with units, names that stand for nothing, what
// stands twice, rules between values, and how a value was written, such as 010.
// In three things it is stricter: it wants no spaces around a quoted text, a
// plain - as the minus of a number without unit, and quotes around a name like
// true.
func Schema() []byte {
	top := jsonObject{
		{"$schema", "https://json-schema.org/draft/2020-12/schema"},
		{"title", "choirloft rig file"},
	}
	var out bytes.Buffer
	encoder := json.NewEncoder(&out)
	encoder.SetEscapeHTML(false)
	encoder.SetIndent("", "  ")
	if err := encoder.Encode(append(top, rigShape.schema()...)); err != nil {
		panic("bug in the schema: " + err.Error())
	}
	return out.Bytes()
}

// jsonObject is an object whose members keep their order.
type jsonObject []jsonMember

type jsonMember struct {
	key   string
	value any
}

// MarshalJSON implements json.Marshaler.
func (o jsonObject) MarshalJSON() ([]byte, error) {
	var out bytes.Buffer
	var errs error
	encoder := json.NewEncoder(&out)
	encoder.SetEscapeHTML(false)
	out.WriteByte('{')
	for i, m := range o {
		if i > 0 {
			out.WriteByte(',')
		}
		errs = errors.Join(errs, encoder.Encode(m.key))
		out.WriteByte(':')
		errs = errors.Join(errs, encoder.Encode(m.value))
	}
	out.WriteByte('}')
	return out.Bytes(), errs
}

func (o object[T]) schema() jsonObject {
	properties := make(jsonObject, 0, len(o.fields))
	var required []string
	for _, row := range o.rows() {
		properties = append(properties, jsonMember{row.key, row.schema()})
		if row.need {
			required = append(required, row.key)
		}
	}
	s := jsonObject{{"type", "object"}, {"properties", properties}}
	if required != nil {
		s = append(s, jsonMember{"required", required})
	}
	return append(s, jsonMember{"additionalProperties", false})
}

// schema is that of the field's value, with what the field means in front.
func (f row) schema() jsonObject {
	value := f.shape.schema()
	s := jsonObject{{"description", f.doc}}
	if l, ok := f.shape.(leaf); ok && hasMore(l, value) {
		s[0].value = f.doc + ": " + l.wants()
	}
	if f.def != "" {
		s = append(s, jsonMember{"default", jsonDefault(f.def)})
	}
	return append(s, value...)
}

// hasMore tells whether there is more to say about what is allowed than an
// editor shows by itself.
func hasMore(l leaf, schema jsonObject) bool {
	switch l.scalar.(type) {
	case boolean, text, profileName:
		return false
	}
	return schema[0].key != "enum"
}

// jsonDefault returns a default as a value of JSON.
func jsonDefault(def string) any {
	var v any
	if err := yaml.Unmarshal([]byte(def), &v); err != nil {
		panic("bug in the grammar: " + err.Error())
	}
	return v
}
