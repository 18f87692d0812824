package profiles

import (
	"slices"

	"choirloft/alloc"
)

// The texts with a syntax of their own, as an editor can check them. Nothing
// here may refuse what their readers accept; a test sees to it.

const (
	wholeText  = `[-+]?(?:0|[1-9][0-9]*)`
	numberText = `(?:0|[1-9][0-9]*)(?:\.[0-9]+)?`
	nameText   = `\p{L}[\p{L}\p{M}0-9_-]*`
	bankName   = `\p{L}(?:[\p{L}\p{M}0-9_-]*[\p{L}\p{M}_-])?`
	voiceName  = bankName + `[0-9]+`
	inputName  = nameText + `\.` + nameText
	keyText    = `(?:[A-G][#♯b♭]?[-−]?[0-9]{1,2}|[+]?(?:0|[1-9][0-9]{0,2}))`
	voltsText  = `[-+−]?` + numberText + ` *m?V`

	channelNumber  = `(?:[1-9]|1[0-6])`
	portNumber     = `(?:[1-9][0-9]?|1[01][0-9]|12[0-8])`
	memberNumber   = `(?:[1-9]|1[0-5])`
	oneChannel     = `(?:port ` + portNumber + ` channel )?` + channelNumber
	controlNumber  = `0{0,2}(?:[1-9]?[0-9]|1[01][0-9])`
	velocityNumber = `(?:[1-9][0-9]?|1[01][0-9]|12[0-7])`
)

var (
	keyWritten      = form{pattern: keyText, high: 127}
	spanWritten     = form{pattern: keyText + `(?: *[-–−] *` + keyText + `)?`, high: 127}
	velocityWritten = form{pattern: velocityNumber + `(?: ?[-–−] ?` + velocityNumber + `)?`, low: 1, high: 127}

	sourceWritten = form{pattern: oneChannel, low: 1, high: 16}
	listenWritten = form{
		names: zoneNames, pattern: oneChannel + `|mpe (?:lower|upper) ` + memberNumber, low: 1, high: 16,
	}
	controllerWritten = form{pattern: `CC ?` + controlNumber + ` on ` + oneChannel}

	windowWritten = form{pattern: voltsText + ` +to +` + voltsText}
	scaleWritten  = form{pattern: `[+]?` + numberText + ` *V/oct|[+]?` + numberText + ` *k?Hz +at +[+]?` + numberText +
		` *m?V(?: ?\(Hz/V\))?`}
	gateWritten = form{names: []string{"S-trig"}, pattern: `[+]?` + numberText + ` *m?V`}

	normalWritten = form{pattern: nameText + `|` + voltsText}

	jackWritten    = form{pattern: nameText + `\.(?:cv|gate) ?[1-9][0-9]{0,5}`}
	outputWritten  = form{pattern: jackWritten.pattern + `|` + nameText}
	endWritten     = form{pattern: nameText + `(?:\.` + nameText + `)?`}
	doesWritten    = form{names: append([]string{"passive"}, doesNames[DoesAdd:]...), pattern: `(?:passive|buffered) (?:[2-9]|[1-5][0-9]|6[0-4])`}
	pinWritten     = form{pattern: nameText + `(?:\.` + nameText + `)?`}
	throughWritten = form{names: throughNames[:2], pattern: `(?:passive|buffered) (?:[2-9]|[1-5][0-9]|6[0-4])`}

	multipleWritten = form{names: throughNames[1:2], pattern: throughWritten.pattern}

	pickWritten = form{names: pickTexts()}
	lawWritten  = form{names: lawNames, pattern: `power +[+]?` + numberText}
	dateWritten = form{pattern: `[0-9]{4}-[01][0-9]-[0-3][0-9]`}
)

// pickTexts lists every picking rule that is one text.
func pickTexts() []string {
	all := plainPicks()
	for _, second := range all {
		if second != alloc.PickSameKey.String() {
			all = append(slices.Clip(all), alloc.PickSameKey.String()+" then "+second)
		}
	}
	return all
}
