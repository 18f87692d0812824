package contract

// basis says what the numbers of voices rest on.
func (b *sizer) basis() Basis {
	s := b.in.Sizing
	return Basis{Givens: givens(b.in.Plan), StepPercent: stepPercent, Longer: Enough(s.Longer), Shorter: Enough(s.Shorter)}
}
