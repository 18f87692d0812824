package cli

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/files"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/profiles"
	"choirloft/profiles/unit"
	"choirloft/routing"
	"choirloft/routing/plan"
)

// checkApply refuses --apply where it cannot be meant, and files that it does not write.
func (s *size) checkApply(inputs []string) error {
	endings := []string{".yaml", ".yml"}
	switch {
	case s.apply < 0:
		return &usageError{fmt.Sprintf("--apply %d: fixes count from 1", s.apply), ""}
	case len(inputs) != 2 || s.lines:
		return &usageError{"--apply is for one song", "name a single song"}
	case s.out.json:
		return &usageError{"--json: a rig is YAML", "leave --json out"}
	case s.out.file == "":
		return &usageError{"--apply writes a rig, and no file is named", "add -o rig2.yaml"}
	case !slices.Contains(endings, s.out.ending()):
		return noFormat("-o", s.out.file, "not a rig", endings, "")
	}
	return s.there(files.Check(inputs, s.fixed(nil)))
}

// fixed is the rig with a fix, which goes over no file.
func (s *size) fixed(data []byte) files.Out {
	out := s.out.out(data)
	out.New = true
	return out
}

// there says the way out where a file stands already under the name.
func (s *size) there(err error) error {
	if errors.Is(err, fs.ErrExist) {
		return &usageError{"-o " + s.out.file + ": it is there already, and --apply never overwrites a file", "give another name"}
	}
	return err
}

// applied writes a fix into a copy of the rig, beside the settings of the run, and says
// the command that plays it.
func (s *size) applied(ctx context.Context, song string, sized *contract.Size) error {
	say.Fill(sized)
	fixes := sized.Fixes
	if len(fixes) == 0 {
		return &usageError{fmt.Sprintf("--apply %d: size has no fix that it can write", s.apply), "what size says first is then to be written by hand, such as parts for more channels"}
	}
	if s.apply > len(fixes) {
		return &usageError{fmt.Sprintf("--apply %d: the list of fixes ends at %d", s.apply, len(fixes)), "size without --apply lists them"}
	}
	fix := &fixes[s.apply-1]
	settings, err := contract.ReadOverrides(fix.Overrides)
	if err != nil {
		return err
	}
	settings = s.overrides.With(settings)
	after, err := s.withFix(fix, settings)
	if err != nil {
		return &usageError{fmt.Sprintf("--apply %d: %s", s.apply, err), "play it with " + fix.Line}
	}
	if err := s.there(s.commit(ctx, s.fixed(after.Data))); err != nil {
		return err
	}
	told := fmt.Sprintf("Written: %s, with fix %d: %s.\n", unit.Printable(s.out.file), s.apply, fix.Text)
	if keep := say.SetUpsKeep(fix.KeepBanks); keep != "" {
		told += keep + "\n"
	}
	if fix.Purchase != nil && len(fix.Purchase.ByHand) > 0 {
		told += say.ByHand(fix.Purchase) + "\n"
	}
	return s.print([]byte(told + "Play it: " + say.Typed([]string{"choirloft", "replay", s.out.file, song}) + "\n"))
}

// inLine is an error of several lines in one: hints behind what they are about.
func inLine(err error) string {
	return strings.ReplaceAll(strings.ReplaceAll(err.Error(), "\n    ", ": "), "\n", "; ")
}

// withFix is the rig with settings. Under its new name check lets it pass, or finds no
// error of a kind that the rig has not as this run has it.
func (s *size) withFix(fix *contract.Fix, settings plan.Overrides) (*profiles.File, error) {
	if slices.Contains(fix.Kinds, "passes") {
		return nil, errors.New("a rig cannot hold a song recorded in parts")
	}
	written, err := plan.Write(s.rig, settings)
	if err != nil {
		return nil, errors.New(inLine(err))
	}
	after, err := profiles.From(s.out.file, written.Data) // with the profile files that stand beside it
	if err != nil {
		return nil, fmt.Errorf("write it beside the old one: %s", inLine(err))
	}
	p, err := plan.Build(after.Rig, plan.Overrides{})
	if err != nil {
		return nil, err
	}
	was, err := plan.Build(s.rig.Rig, s.overrides)
	if err != nil {
		return nil, err
	}
	for i := range p.Findings {
		x := &p.Findings[i]
		same := func(y routing.Finding) bool { return y.Severity == routing.Error && y.Code == x.Code }
		if x.Severity == routing.Error && !slices.ContainsFunc(was.Findings, same) {
			return nil, fmt.Errorf("check would not pass the rig: %s", x.Text)
		}
	}
	return after, nil
}
