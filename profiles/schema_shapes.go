package profiles

import (
	"regexp"
	"strings"
)

// What each shape is as a JSON Schema. Patterns keep to what Go and ECMA-262
// with the u flag read alike.

func anyOf(all ...jsonObject) jsonObject { return jsonObject{{"anyOf", all}} }

func matching(pattern string) jsonObject {
	return jsonObject{{"type", "string"}, {"pattern", "^(?:" + pattern + ")$"}}
}

func among(names []string) jsonObject { return jsonObject{{"enum", names}} }

func ranging[T int | float64](kind string, min, max T) jsonObject {
	return jsonObject{{"type", kind}, {"minimum", min}, {"maximum", max}}
}

func (l leaf) schema() jsonObject { return l.scalar.schema() }

func (l locate[T]) schema() jsonObject { return l.of.schema() }

func (u byKind) schema() jsonObject {
	var all []jsonObject
	for _, s := range []shape{u.scalar, u.list, u.dict} {
		if s == nil {
			continue
		}
		one := s.schema()
		if some, ok := one[0].value.([]jsonObject); ok && one[0].key == "anyOf" {
			all = append(all, some...)
		} else {
			all = append(all, one)
		}
	}
	return anyOf(all...)
}

func (m mapped[From, To]) schema() jsonObject { return m.shape.schema() }

func (l listOf[T]) schema() jsonObject {
	s := jsonObject{{"type", "array"}, {"items", l.of.schema()}, {"minItems", 1}, {"maxItems", l.max}}
	if l.same != nil {
		s = append(s, jsonMember{"uniqueItems", true})
	}
	return s
}

func (d dictOf[K, V]) schema() jsonObject {
	return jsonObject{
		{"type", "object"}, {"propertyNames", d.keys.keySchema()}, {"additionalProperties", d.of.schema()},
		{"minProperties", 1}, {"maxProperties", d.max},
	}
}

func (e enum[T]) schema() jsonObject { return among(e.names) }

func (boolean) schema() jsonObject { return jsonObject{{"type", "boolean"}} }

func (s integer) schema() jsonObject {
	plain := ranging("integer", s.min, s.max)
	if s.unit == "" {
		return plain
	}
	return anyOf(plain, matching(wholeText+" *"+s.unit))
}

func (s integer) keySchema() jsonObject {
	if s.min > 0 {
		return matching(`\+?[1-9][0-9]*`)
	}
	return matching(wholeText)
}

func (s number) schema() jsonObject { return ranging("number", s.min, s.max) }

func (s name) schema() jsonObject {
	pattern := nameText
	if s.noDigit {
		pattern = bankName
	}
	return append(matching(pattern), jsonMember{"maxLength", longest})
}

func (s name) keySchema() jsonObject { return s.schema() }

// schema allows numbers too, since a name such as 808 needs no quotes.
func (t text) schema() jsonObject {
	return jsonObject{{"type", []string{"string", "number", "boolean"}}, {"pattern", `^.*\S.*$`}, {"maxLength", t.max}}
}

func (p profileName) schema() jsonObject {
	return anyOf(among(builtinNames(p.folder)), append(matching(`[^\\]*/[^\\]*|[^\\]*\.ya?ml`), jsonMember{"maxLength", p.max}))
}

func (q quantity[T]) schema() jsonObject {
	s := matching(q.text())
	if q.bare == "" {
		return s
	}
	u, _ := q.set.find(q.bare)
	unit := q.limit("1 " + u.name)
	return anyOf(ranging("number", q.limit(q.min)/unit, q.limit(q.max)/unit), s)
}

func (q quantity[T]) keySchema() jsonObject { return matching(q.text()) }

// text is the pattern of a quantity: a number and one of its units.
func (q quantity[T]) text() string {
	sign := "[+]?"
	if strings.HasPrefix(q.min, "-") {
		sign = "[-+−]?"
	}
	var units []string
	for _, u := range q.set.units {
		for _, name := range append([]string{u.name}, u.alike...) {
			units = append(units, regexp.QuoteMeta(name))
		}
	}
	return sign + numberText + " *(?:" + strings.Join(units, "|") + ")"
}

// form is what an editor can see of a text with a syntax of its own.
type form struct {
	names   []string // texts that are allowed
	pattern string   // of others that are; empty for none
	low     int      // least of the whole numbers that are allowed without quotes
	high    int      // greatest of them; 0 for none
}

func (s words) schema() jsonObject {
	var all []jsonObject
	if s.form.high > 0 {
		all = append(all, ranging("integer", s.form.low, s.form.high))
	}
	if s.form.names != nil {
		all = append(all, among(s.form.names))
	}
	if s.form.pattern != "" {
		all = append(all, matching(s.form.pattern))
	}
	if len(all) == 1 {
		return all[0]
	}
	return anyOf(all...)
}

func (s words) keySchema() jsonObject { return matching(s.form.pattern) }
