package page

import (
	"net/http"

	"choirloft/cmd/choirloft/internal/contract"
	"choirloft/cmd/choirloft/internal/say"
	"choirloft/routing/plan"
)

// plugView is a rack as one plugs it, and what becomes of ticks that were made for another plan.
type plugView struct {
	*say.Plug
	Carried *say.Carried `json:"carried"` // null where no such ticks were sent
}

// plug answers by the rig's text, whatever is tried beside it. Ticks are of the browser that asks,
// and nothing of them stays here.
func (s *server) plug(w http.ResponseWriter, r *http.Request) error {
	body, err := read[struct {
		Before string       `json:"before"` // the code of the plan that ticked was made for
		Ticked []say.Ticked `json:"ticked"`
	}](w, r, 1<<20)
	if err != nil {
		return err
	}
	p, err := s.desk.plan(plan.Overrides{})
	if err != nil {
		return err
	}
	v := &plugView{Plug: say.NewPlug(contract.NewMap(p))}
	if len(body.Ticked) > 0 {
		v.Carried = v.Carry(body.Before, body.Ticked)
	}
	return send(w, v)
}
