package plan

import (
	"reflect"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestOverridesWithOthersOnTop(t *testing.T) {
	base := Overrides{Pick: []string{"lowest", "pad=nearest"}, Voices: []string{"10"}}
	require.Equal(t, Overrides{Pick: []string{"oldest"}, Voices: []string{"10"}}, base.With(Overrides{Pick: []string{"oldest"}}))
	require.Equal(t, Overrides{Pick: []string{"lowest", "pad=random"}, Voices: []string{"12"}},
		base.With(Overrides{Pick: []string{"pad=random"}, Voices: []string{"12"}}))
	require.Equal(t, Overrides{Pick: []string{"lowest", "pad=nearest", "bass=random"}, Voices: []string{"10"}, Banks: []string{"bass=P"}},
		base.With(Overrides{Pick: []string{"bass=random"}, Banks: []string{"bass=P"}}))
	require.Equal(t, []string{"K1", "L2"}, Overrides{Without: []string{"K1"}}.With(Overrides{Without: []string{"L2"}}).Without)
	require.Equal(t, []string{"lowest", "pad=nearest"}, base.Pick, "what was there stays")
	require.Equal(t, []string{"--voices", "10", "--pick", "lowest", "--pick", "pad=nearest"}, base.Flags())
	require.True(t, Overrides{}.IsZero())
	require.False(t, base.IsZero() || base.EditsSong())
	require.True(t, Overrides{Lift: []string{"1 s"}}.EditsSong())
}

// Every override has a flag.
func TestFieldsAreAll(t *testing.T) {
	require.Len(t, fields, reflect.TypeFor[Overrides]().NumField())
	var o Overrides
	seen := map[*[]string]bool{}
	for _, f := range fields {
		seen[f.of(&o)] = true
	}
	require.Len(t, seen, len(fields))
}

func TestParseFlags(t *testing.T) {
	o := Overrides{Without: []string{"K1"}, Pick: []string{"lowest", "pad=nearest"}, Trim: []string{"80 ms"}}
	back, err := ParseFlags(o.Flags())
	require.NoError(t, err)
	require.Equal(t, o, back)
	_, err = ParseFlags([]string{"--pik", "x"})
	require.EqualError(t, err, "--pik: there is no such override")
	_, err = ParseFlags([]string{"--out", "K1"})
	require.EqualError(t, err, "--out: that is where live writes; a voice is left out by --without")
	_, err = ParseFlags([]string{"--pick"})
	require.EqualError(t, err, "--pick: it needs a value")
	_, err = ParseFlags(make([]string, 3))
	require.Error(t, err)
}
