package page

import (
	"bytes"
	"cmp"
	"encoding"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/cmd/choirloft/internal/doc"
	"choirloft/cmd/choirloft/internal/figures"
	"choirloft/cmd/choirloft/internal/say"
)

// answers are what the program answers to the page, by the last part of the path: in JSON, or before
// columns.
var answers = map[string]any{
	"desk": deskView{}, "rig": deskView{}, "save": deskView{}, "open": deskView{}, "settle": deskView{}, "reload": deskView{}, "remove": deskView{}, "keep": keptView{}, "alter": deskView{}, "bench": say.BenchFace{}, "song": addedView{},
	"disk": diskView{}, "map": mapAnswer{}, "picture": pictureView{}, "shown": shownView{}, "loss": told{}, "size": sizeAnswer{}, "fixes": stepView{}, "compare": compareAnswer{},
	"sheets": sheetsView{}, "axis": axisAnswer{}, "set": setAnswer{},
	"take": takeAnswer{}, "played": playedView{}, "recording": playedView{}, "readings": measuredView{}, "took": measuredView{},
	"setups": setUpsAnswer{}, "repatch": repatchAnswer{}, "outage": outageAnswer{},
	"unison": unisonAnswer{},
	"plug":   plugView{},
}

// TestTypes writes down for the modules of the page what the Go types are, with UPDATE_GOLDEN=1 anew.
func TestTypes(t *testing.T) {
	const file = "testdata/contract.d.ts"
	w := writer{names: map[reflect.Type]string{}}
	paths := make([]string, 0, len(answers))
	for path := range answers {
		paths = append(paths, path)
	}
	slices.Sort(paths)
	w.line("export interface Answers {")
	for _, path := range paths {
		w.line("  %s: %s;", path, w.of(reflect.TypeOf(answers[path])))
	}
	w.line("}")
	for len(w.due) > 0 {
		next := w.due[0]
		w.due = w.due[1:]
		w.line("\nexport interface %s {", w.names[next])
		w.fields(next)
		w.line("}")
	}
	text := "// What the program answers, from its Go types: made by TestTypes, do not edit.\n" + w.String()
	if os.Getenv("UPDATE_GOLDEN") != "" {
		require.NoError(t, os.WriteFile(file, []byte(text), 0o666))
	}
	was, err := os.ReadFile(file)
	require.NoError(t, err)
	require.Equal(t, string(was), text)
}

// writer writes Go types as TypeScript has them.
type writer struct {
	bytes.Buffer
	names map[reflect.Type]string
	due   []reflect.Type // that are named, and not written yet
}

func (w *writer) line(format string, args ...any) { fmt.Fprintf(w, format+"\n", args...) }

var (
	speaks  = reflect.TypeFor[json.Marshaler]()
	letters = reflect.TypeFor[encoding.TextMarshaler]()
)

// of is the name of a type; the writer then owes what it is.
func (w *writer) of(t reflect.Type) string {
	switch {
	case t == reflect.TypeFor[doc.Doc](): // whose blocks are of several kinds
		return `import("../assets/doc.js").Doc`
	case t.Kind() == reflect.Pointer:
		return w.of(t.Elem())
	case t.Implements(speaks) || reflect.PointerTo(t).Implements(speaks):
		return "unknown"
	case t.Implements(letters):
		return "string"
	}
	switch t.Kind() {
	case reflect.String:
		return "string"
	case reflect.Bool:
		return "boolean"
	case reflect.Slice, reflect.Array:
		return "Array<" + w.of(t.Elem()) + ">"
	case reflect.Map:
		return "Record<string, " + w.of(t.Elem()) + ">"
	case reflect.Interface:
		return "unknown"
	case reflect.Struct:
		return w.name(t)
	}
	return "number"
}

// name is that of a struct, without what tells only that the page shows it.
func (w *writer) name(t reflect.Type) string {
	if name, ok := w.names[t]; ok {
		return name
	}
	name := strings.TrimSuffix(t.Name(), "View")
	name = strings.ToUpper(name[:1]) + name[1:]
	for _, other := range w.names {
		if other == name {
			pkg := t.PkgPath()[strings.LastIndexByte(t.PkgPath(), '/')+1:]
			name = strings.ToUpper(pkg[:1]) + pkg[1:] + name
		}
	}
	w.names[t] = name
	w.due = append(w.due, t)
	return name
}

// field is one of a struct as JSON has it.
type field struct {
	name          string
	of            reflect.Type
	missing, null bool // where it is empty; where it leads to nothing
}

// fieldsOf are those of a struct, and of what is embedded in it.
func fieldsOf(t reflect.Type) (all []field) {
	for i := range t.NumField() {
		f := t.Field(i)
		tag, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		of, leads := f.Type, f.Type.Kind() == reflect.Pointer
		if leads {
			of = of.Elem()
		}
		switch {
		case f.Anonymous && tag == "":
			all = append(all, fieldsOf(of)...)
		case tag != "-" && f.IsExported():
			missing := strings.Contains(options, "omit")
			own := of == reflect.TypeFor[doc.Doc]() || of == reflect.TypeFor[deskView]() || of == reflect.TypeFor[figures.Sizes]() // which are always there
			all = append(all, field{cmp.Or(tag, f.Name), of, missing, leads && !missing && !own})
		}
	}
	return all
}

func (w *writer) fields(t reflect.Type) {
	for _, f := range fieldsOf(t) {
		missing, null := "", ""
		if f.missing {
			missing = "?"
		}
		if f.null {
			null = " | null"
		}
		w.line("  %s%s: %s%s;", f.name, missing, w.of(f.of), null)
	}
}

// TestAnswersAreOfTheirTypes: each answer has the fields of its type and no others, and null only where
// that can be.
func TestAnswersAreOfTheirTypes(t *testing.T) {
	b := newBench(t)
	b.demo()
	ten := `{"song": "1", "set": [{"kind": "voices", "part": "", "value": "10"}]}`
	for path, body := range map[string]string{"disk": `{}`, "reload": `{}`, "alter": `{"deeds": []}`, "bench": ten, "keep": `{"set": [{"kind": "voices", "part": "", "value": "12"}]}`,
		"map": `{}`, "loss": ten, "size": ten, "compare": ten, "sheets": `{}`, "picture": ten, "shown": ten, "axis": `{"song": "1", "part": "pad"}`, "set": `{"part": "pad", "voices": 3}`,
		"unison": `{"part": "pad", "voices": 3}`, "fixes": `{"song": "1"}`} {
		status, answer := b.post(path, body)
		require.Equal(t, 200, status, "%s: %s", path, answer)
		if path == "picture" || path == "shown" {
			answer = answer[4 : 4+binary.LittleEndian.Uint32([]byte(answer))] // before the columns
		}
		for line := range strings.Lines(answer) {
			if path != "fixes" {
				line = answer
			}
			var v any
			require.NoError(t, json.Unmarshal([]byte(line), &v), path)
			require.Empty(t, strange(v, reflect.TypeOf(answers[path]), path))
			if path != "fixes" {
				break
			}
		}
	}
}

// strange lists what of a value in JSON is not of its type.
func strange(v any, t reflect.Type, at string) (all []string) {
	if t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	w := writer{names: map[reflect.Type]string{}}
	of := w.of(t)
	switch x := v.(type) {
	case nil:
		return []string{at + " is null"}
	case []any:
		if t.Kind() != reflect.Slice && t.Kind() != reflect.Array {
			return []string{at + " is a list, not " + of}
		}
		for i, item := range x {
			all = append(all, strange(item, t.Elem(), fmt.Sprintf("%s[%d]", at, i))...)
		}
	case map[string]any:
		if strings.HasPrefix(of, "import") || of == "unknown" || t.Kind() == reflect.Map {
			return nil
		}
		if t.Kind() != reflect.Struct {
			return []string{at + " is an object, not " + of}
		}
		for _, f := range fieldsOf(t) {
			value, there := x[f.name]
			if !there && !f.missing {
				all = append(all, at+" has no "+f.name)
			}
			if there && (value != nil || !f.null) {
				all = append(all, strange(value, f.of, at+"."+f.name)...)
			}
			delete(x, f.name)
		}
		for name := range x {
			all = append(all, at+" has "+name)
		}
	default:
		if got := map[reflect.Kind]string{reflect.String: "string", reflect.Bool: "boolean", reflect.Float64: "number"}[reflect.TypeOf(v).Kind()]; of != got && of != "unknown" {
			return []string{at + " is a " + got + ", not " + of}
		}
	}
	return all
}
