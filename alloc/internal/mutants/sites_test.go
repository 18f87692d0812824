package mutants

import (
	"cmp"
	"fmt"
	"go/ast"
	"go/token"
	"go/types"
	"slices"
	"strings"
)

// helpers is what a broken package is given besides. mutantN is the number of
// the mutant that is alive, 0 for none. If it is negative none is alive, and the
// numbers of those that would have given another value are written down.
const helpers = `

import (
	"cmp"
	"os"
	"strconv"
)

var (
	mutantN, _    = strconv.Atoi(os.Getenv("MUTANT"))
	mutantFile, _ = os.OpenFile(os.Getenv("MUTANTS_MET"), os.O_APPEND|os.O_WRONLY, 0)
	mutantMet     [1 << 16]bool
)

func mutantIs(n int) bool { return mutantN == n || mutantN < 0 && mutantMeets(n, true) }

func mutantMeets(n int, differs bool) bool {
	if differs && !mutantMet[n] {
		mutantMet[n] = true
		if _, err := mutantFile.WriteString(strconv.Itoa(n) + " "); err != nil {
			panic(err)
		}
	}
	return false
}

type mutantNumber interface {
	~int | ~int8 | ~int16 | ~int32 | ~int64 | ~uint | ~uint8 | ~uint16 | ~uint32 | ~uint64 | ~float32 | ~float64
}

func mutantLess[T cmp.Ordered](n int, a, b T) bool {
	return mutantOrder(n, a < b, a <= b, a >= b)
}

func mutantAtMost[T cmp.Ordered](n int, a, b T) bool {
	return mutantOrder(n, a <= b, a < b, a > b)
}

func mutantOrder(n int, is, moved, turned bool) bool {
	if mutantN < 0 {
		mutantMeets(n, is != moved)
		mutantMeets(n+1, is != turned)
	}
	switch mutantN {
	case n:
		return moved
	case n + 1:
		return turned
	}
	return is
}

func mutantMore[T cmp.Ordered](n int, a, b T) bool    { return mutantLess(n, b, a) }
func mutantAtLeast[T cmp.Ordered](n int, a, b T) bool { return mutantAtMost(n, b, a) }

func mutantAdd[T mutantNumber](n int, a, b T) T { return a + mutantTurn(n, b) }
func mutantSub[T mutantNumber](n int, a, b T) T { return a - mutantTurn(n, b) }

func mutantTurn[T mutantNumber](n int, a T) T {
	if a != 0 && mutantIs(n) {
		return -a
	}
	return a
}

func mutantNear[T mutantNumber](n int, a T) T {
	switch {
	case mutantIs(n):
		return a + 1
	case mutantIs(n + 1):
		return a - 1
	}
	return a
}
`

// ordered are the operators that helpers stand for, and what they are moved to
// and turned into.
var ordered = map[token.Token]struct{ helper, moved, turned string }{
	token.LSS: {"mutantLess", "<=", ">="},
	token.LEQ: {"mutantAtMost", "<", ">"},
	token.GTR: {"mutantMore", ">=", "<="},
	token.GEQ: {"mutantAtLeast", ">", "<"},
}

// turned are the operators that have one mutant.
var turned = map[token.Token]string{
	token.EQL: "!=", token.NEQ: "==", token.LAND: "||", token.LOR: "&&", token.ADD: "-", token.SUB: "+",
	token.ADD_ASSIGN: "-=", token.SUB_ASSIGN: "+=", token.INC: "--", token.DEC: "++",
}

// edit replaces the source from one offset to another.
type edit struct {
	from, to int
	text     string
}

// breaker finds the places of a file that can be broken. Mutants are numbered
// from 1 over all files; names holds the name of each.
type breaker struct {
	fset  *token.FileSet
	file  *ast.File
	path  string // as it stands in names
	src   []byte
	info  *types.Info
	pkg   *types.Package
	edits []edit
	names *[]string
	ranks map[string]int // how many of a name there are
	where string         // the function that is walked
}

// mutate names a new mutant and returns its number. The name has no line, so
// that it lasts; of several in one function that read alike each has its rank.
func (b *breaker) mutate(what string) int {
	name := fmt.Sprintf("%s %s: %s", b.path, b.where, strings.Join(strings.Fields(what), " "))
	b.ranks[name]++
	if rank := b.ranks[name]; rank > 1 {
		name = fmt.Sprintf("%s #%d", name, rank)
	}
	*b.names = append(*b.names, name)
	return len(*b.names)
}

func (b *breaker) offset(p token.Pos) int { return b.fset.Position(p).Offset }

func (b *breaker) text(n ast.Node) string { return string(b.src[b.offset(n.Pos()):b.offset(n.End())]) }

func (b *breaker) swap(p token.Pos, length int, text string) {
	b.edits = append(b.edits, edit{b.offset(p), b.offset(p) + length, text})
}

func (b *breaker) wrap(n ast.Node, before, after string) {
	b.swap(n.Pos(), 0, before)
	b.swap(n.End(), 0, after)
}

// broken returns the source with all edits. What was found first is outside.
func (b *breaker) broken() []byte {
	order := make([]int, len(b.edits))
	for i := range order {
		order[i] = i
	}
	closes := func(e edit) int {
		if e.from == e.to && strings.HasPrefix(strings.TrimLeft(e.text, " "), ")") || e.text == " }" {
			return 0
		}
		return 1
	}
	slices.SortFunc(order, func(i, j int) int {
		x, y := b.edits[i], b.edits[j]
		if c := cmp.Or(cmp.Compare(x.from, y.from), cmp.Compare(closes(x), closes(y))); c != 0 {
			return c
		}
		if closes(x) == 0 {
			return cmp.Compare(j, i)
		}
		return cmp.Or(cmp.Compare(x.to, y.to), cmp.Compare(i, j))
	})
	var out []byte
	at := 0
	for _, i := range order {
		e := b.edits[i]
		out = append(append(out, b.src[at:e.from]...), e.text...)
		at = e.to
	}
	return append(out, b.src[at:]...)
}

// walk breaks what stands in the functions of the file.
func (b *breaker) walk() {
	for _, d := range b.file.Decls {
		f, ok := d.(*ast.FuncDecl)
		if !ok || f.Body == nil {
			continue
		}
		b.where = f.Name.Name
		if f.Recv != nil {
			t := strings.TrimLeft(b.text(f.Recv.List[0].Type), "*")
			b.where = strings.SplitN(t, "[", 2)[0] + "." + b.where
		}
		b.body(f.Body)
	}
}

// body walks a block. stack holds the nodes around the one that is visited.
func (b *breaker) body(root ast.Node) {
	var stack []ast.Node
	ast.Inspect(root, func(n ast.Node) bool {
		if n == nil {
			stack = stack[:len(stack)-1]
			return true
		}
		if g, ok := n.(*ast.GenDecl); ok && g.Tok == token.CONST {
			return false
		}
		if _, ok := n.(*ast.ArrayType); ok || b.reserves(n, stack) {
			return false
		}
		b.visit(n, stack)
		stack = append(stack, n)
		return true
	})
}

// reserves tells whether a node is how much room a make keeps ready, which
// nobody can notice.
func (b *breaker) reserves(n ast.Node, stack []ast.Node) bool {
	if len(stack) == 0 {
		return false
	}
	call, ok := stack[len(stack)-1].(*ast.CallExpr)
	return ok && b.text(call.Fun) == "make" && len(call.Args) == 3 && call.Args[2] == n
}

func (b *breaker) visit(n ast.Node, stack []ast.Node) {
	switch n := n.(type) {
	case *ast.BinaryExpr:
		b.binary(n)
	case *ast.BasicLit:
		b.number(n, stack)
	case *ast.BranchStmt:
		b.branch(n, stack)
	case *ast.AssignStmt:
		b.leaveOut(n, stack, n.Tok != token.DEFINE)
		if len(n.Lhs) == 1 && turned[n.Tok] != "" && inList(n, stack) {
			b.step(n.Lhs[0], n.Rhs[0], n.TokPos, n.Tok)
		}
	case *ast.IncDecStmt:
		b.leaveOut(n, stack, true)
		if inList(n, stack) {
			b.step(n.X, nil, n.TokPos, n.Tok)
		}
	case *ast.ExprStmt:
		call, ok := n.X.(*ast.CallExpr)
		b.leaveOut(n, stack, ok && b.text(call.Fun) != "panic")
	}
	b.conditions(n)
}

// conditions negates those that are no comparisons, which have mutants of
// their own.
func (b *breaker) conditions(n ast.Node) {
	switch n := n.(type) {
	case *ast.IfStmt:
		b.negate(n.Cond)
	case *ast.ForStmt:
		b.negate(n.Cond)
	case *ast.ReturnStmt:
		for _, e := range n.Results {
			b.negate(e)
		}
	case *ast.BinaryExpr:
		if n.Op == token.LAND || n.Op == token.LOR {
			b.negate(n.X)
			b.negate(n.Y)
		}
	case *ast.SwitchStmt:
		if n.Tag == nil {
			for _, c := range n.Body.List {
				for _, e := range c.(*ast.CaseClause).List {
					b.negate(e)
				}
			}
		}
	}
}

func (b *breaker) negate(e ast.Expr) {
	if e == nil || !b.is(e, types.IsBoolean) || b.constant(e) {
		return
	}
	switch ast.Unparen(e).(type) {
	case *ast.BinaryExpr:
		return
	}
	id := b.mutate(fmt.Sprintf("%s → !(%[1]s)", b.text(e)))
	b.wrap(e, "((", fmt.Sprintf(") != mutantIs(%d))", id))
}

func (b *breaker) constant(e ast.Expr) bool { return b.info.Types[e].Value != nil }

func (b *breaker) is(e ast.Expr, kind types.BasicInfo) bool {
	t := b.info.TypeOf(e)
	if t == nil {
		return false
	}
	basic, ok := t.Underlying().(*types.Basic)
	return ok && basic.Info()&kind != 0
}

// spelled returns a type as it can be written in the file.
func (b *breaker) spelled(t types.Type) (string, bool) {
	ok := true
	s := types.TypeString(t, func(p *types.Package) string {
		if p == b.pkg {
			return ""
		}
		for _, i := range b.file.Imports {
			if i.Path.Value == fmt.Sprintf("%q", p.Path()) && i.Name == nil {
				return p.Name()
			}
		}
		ok = false
		return ""
	})
	return s, ok && !strings.HasPrefix(s, "untyped")
}

func (b *breaker) binary(n *ast.BinaryExpr) {
	if b.constant(n) {
		return
	}
	says := func(op string) int {
		return b.mutate(fmt.Sprintf("%s → %s", b.text(n), op))
	}
	o, isOrdered := ordered[n.Op]
	switch {
	case isOrdered && b.is(n.X, types.IsOrdered):
		id := says(o.moved)
		says(o.turned)
		b.call(n, o.helper, id)
	case n.Op == token.EQL || n.Op == token.NEQ:
		b.wrap(n, "((", fmt.Sprintf(") != mutantIs(%d))", says(turned[n.Op])))
	case n.Op == token.LAND || n.Op == token.LOR:
		s := fmt.Sprintf(") != mutantIs(%d)", says(turned[n.Op]))
		b.wrap(n, "((", s+")")
		b.wrap(n.X, "((", s+")")
		b.wrap(n.Y, "((", s+")")
	case n.Op == token.ADD && b.is(n, types.IsNumeric):
		b.call(n, "mutantAdd", says(turned[n.Op]))
	case n.Op == token.SUB && b.is(n, types.IsNumeric):
		b.call(n, "mutantSub", says(turned[n.Op]))
	}
}

// call turns an operator into the call of a helper.
func (b *breaker) call(n *ast.BinaryExpr, helper string, id int) {
	b.wrap(n, fmt.Sprintf("%s(%d, ", helper, id), ")")
	b.swap(n.OpPos, len(n.Op.String()), ",")
}

// step turns a statement such as x += y or, without a right side, x++.
func (b *breaker) step(x, y ast.Expr, at token.Pos, op token.Token) {
	t, ok := b.spelled(b.info.TypeOf(x))
	if !ok || !b.is(x, types.IsNumeric) {
		return
	}
	id := b.mutate(fmt.Sprintf("%s %s → %s", b.text(x), op, turned[op]))
	if y != nil {
		b.wrap(y, fmt.Sprintf("mutantTurn[%s](%d, ", t, id), ")")
		return
	}
	b.swap(at, 2, fmt.Sprintf(" %c= mutantTurn[%s](%d, 1)", op.String()[0], t, id))
}

// number breaks a number that the code itself says and that is no part of a
// larger constant, nor a key of a literal.
func (b *breaker) number(n *ast.BasicLit, stack []ast.Node) {
	t, ok := b.spelled(b.info.TypeOf(n))
	if !ok || n.Kind != token.INT && n.Kind != token.FLOAT {
		return
	}
	switch parent := stack[len(stack)-1].(type) {
	case *ast.KeyValueExpr:
		if parent.Key == n {
			return
		}
	case ast.Expr:
		if b.constant(parent) {
			return
		}
	}
	id := b.mutate(n.Value + " → +1" + b.around(stack))
	b.mutate(n.Value + " → -1" + b.around(stack))
	b.wrap(n, fmt.Sprintf("mutantNear[%s](%d, ", t, id), ")")
}

// around says in what expression or statement a number stands.
func (b *breaker) around(stack []ast.Node) string {
	s := b.text(stack[len(stack)-1])
	if strings.Contains(s, "\n") {
		s = strings.SplitN(s, "\n", 2)[0]
	}
	return " in " + s
}

func inList(n ast.Node, stack []ast.Node) bool {
	switch parent := stack[len(stack)-1].(type) {
	case *ast.BlockStmt:
		return true
	case *ast.CaseClause:
		return slices.ContainsFunc(parent.Body, func(s ast.Stmt) bool { return s == n })
	}
	return false
}

// leaveOut lets a statement of a block be left out.
func (b *breaker) leaveOut(n ast.Stmt, stack []ast.Node, can bool) {
	if a, ok := n.(*ast.AssignStmt); ok && (b.text(a.Lhs[0]) == "_" || b.readies(a)) {
		can = false
	}
	if can && inList(n, stack) {
		id := b.mutate("without " + strings.SplitN(b.text(n), "\n", 2)[0])
		b.wrap(n, fmt.Sprintf("if !mutantIs(%d) { ", id), " }")
	}
}

// readies tells whether a statement only keeps room ready in a list that is
// empty, which nobody can notice.
func (b *breaker) readies(a *ast.AssignStmt) bool {
	call, ok := a.Rhs[0].(*ast.CallExpr)
	return ok && b.text(call.Fun) == "make" && len(call.Args) == 3 && b.text(call.Args[1]) == "0"
}

// branch exchanges break and continue where both mean the loop around.
func (b *breaker) branch(n *ast.BranchStmt, stack []ast.Node) {
	other := map[token.Token]string{token.BREAK: "continue", token.CONTINUE: "break"}[n.Tok]
	if other == "" || n.Label != nil {
		return
	}
	for _, s := range slices.Backward(stack) {
		switch s := s.(type) {
		case *ast.SwitchStmt, *ast.SelectStmt, *ast.TypeSwitchStmt:
			return
		case *ast.ForStmt, *ast.RangeStmt:
			if f, ok := s.(*ast.ForStmt); ok && f.Cond == nil && n.Tok == token.CONTINUE {
				return // what follows a loop without an end may not be there
			}
			id := b.mutate(n.Tok.String() + " → " + other)
			b.swap(n.Pos(), 0, fmt.Sprintf("if mutantIs(%d) { %s }; ", id, other))
			return
		}
	}
}
