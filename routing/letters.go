package routing

import (
	"slices"

	"choirloft/profiles"
)

// Letters reports names of a rig that no sheet can be printed with: lacking returns the
// letters of a text that the font of sheets lacks.
func Letters(rig *profiles.Rig, lacking func(string) []rune) []Finding {
	names, letters := Named("names"), Named("letters")
	for _, name := range namesOf(rig) {
		gone := lacking(name)
		if len(gone) > 0 && !slices.Contains(names.Names, name) {
			names.Names = append(names.Names, name)
		}
		for _, r := range gone {
			if !slices.Contains(letters.Names, string(r)) {
				letters.Names = append(letters.Names, string(r))
			}
		}
	}
	if len(names.Names) == 0 {
		return nil
	}
	return []Finding{New(LettersLacking, "rig", names.Main(), letters)}
}

// namesOf are the names of a rig that stand on its sheet.
func namesOf(rig *profiles.Rig) []string {
	names := []string{rig.Name}
	for i := range rig.Interfaces {
		names = append(names, rig.Interfaces[i].Name, rig.Interfaces[i].Profile)
	}
	for i := range rig.Sequencers {
		names = append(names, rig.Sequencers[i].Name)
	}
	for i := range rig.Banks {
		names = append(names, rig.Banks[i].Name)
	}
	for i := range rig.Parts {
		names = append(names, rig.Parts[i].Name)
	}
	for i := range rig.Macros {
		names = append(names, rig.Macros[i].Name)
	}
	for i := range rig.Gear {
		names = append(names, rig.Gear[i].Name)
	}
	for i := range rig.Supplies {
		names = append(names, rig.Supplies[i].Name)
	}
	for i := range rig.SetUps {
		names = append(names, rig.SetUps[i].Name)
	}
	return names
}
