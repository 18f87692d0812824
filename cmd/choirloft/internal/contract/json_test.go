package contract

import (
	"bytes"
	"encoding/json"
	"errors"
	"testing"

	"github.com/stretchr/testify/require"

	"choirloft/routing/plan"
)

func TestBreakLines(t *testing.T) {
	const in = `{"a":[],"b":{},"c":"[1,{\"x\":2}\\","d":[1,{"e":[2,3],"f":{}}]}` + "\n"
	require.Equal(t, `{
  "a": [],
  "b": {},
  "c": "[1,{\"x\":2}\\",
  "d": [
    1,
    {"e": [2, 3], "f": {}}
  ]
}
`, string(breakLines([]byte(in), 2)))
	require.Equal(t, `{"a": [1, 2]}`, string(breakLines([]byte(`{"a":[1,2]}`), 0)))
}

func TestLinesKeepTheMeaning(t *testing.T) {
	p, r := play(t, plan.Overrides{Voices: plan.All(7)})
	for _, value := range []any{NewReplay(p, r), NewSongs(p, []*Result{r, r}, nil), NewCheck(p, nil, nil), NewMap(p), NewLinks(p, nil, nil, errors.New("why"))} {
		want, err := json.Marshal(value)
		require.NoError(t, err)
		got, err := JSON(value)
		require.NoError(t, err)
		var compact bytes.Buffer
		require.NoError(t, json.Compact(&compact, got))
		require.JSONEq(t, string(want), compact.String())
	}
}
