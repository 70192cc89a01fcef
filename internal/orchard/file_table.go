package orchard

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode"
)

// document is an orchard file being read: where its keys stand, and every problem
// found so far.
type document struct {
	name     string
	lines    map[string]int
	problems Problems
}

// refuse notes a problem at a key's line, or its table's where the key is not
// there.
func (d *document) refuse(path, what, mend string) {
	line := 0
	for at := path; line == 0; {
		if line = d.lines[at]; at == "" {
			break
		}
		at = at[:max(strings.LastIndexAny(at, ".["), 0)]
	}
	d.problems = append(d.problems, Problem{File: d.name, Line: line, What: what, Mend: mend})
}

// sorted returns the problems by line.
func (d *document) sorted() Problems {
	slices.SortStableFunc(d.problems, func(a, b Problem) int { return cmp.Compare(a.Line, b.Line) })
	return d.problems
}

// table is one table of the file. Each reader below notes its key as known, and
// refuses a value of the wrong type or out of range with what it takes instead;
// what it then returns is the default, so that reading goes on.
type table struct {
	doc   *document
	path  string
	of    map[string]any
	known []string
}

// get returns a key's value, nil where it is not there.
func (t *table) get(key string) any {
	t.known = append(t.known, key)
	return t.of[key]
}

func (t *table) refuse(key, what, mend string) { t.doc.refuse(joinKey(t.path, key), what, mend) }

// wrongType refuses a value for its type.
func (t *table) wrongType(key string, v any, want string) {
	t.refuse(key, fmt.Sprintf("%s is %s", key, typeWords(v)), "give "+want)
}

// sub returns a table within, empty where it is not there.
func (t *table) sub(key string) *table {
	in := &table{doc: t.doc, path: joinKey(t.path, key), of: map[string]any{}}
	switch v := t.get(key).(type) {
	case nil:
	case map[string]any:
		in.of = v
	default:
		t.wrongType(key, v, fmt.Sprintf("a table, [%s]", key))
	}
	return in
}

// subs returns the tables of an array of tables.
func (t *table) subs(key string) []*table {
	var list []any
	switch v := t.get(key).(type) {
	case nil:
		return nil
	case []any:
		list = v
	default:
		t.wrongType(key, v, fmt.Sprintf("one [[%s]] for each", key))
		return nil
	}
	var in []*table
	for i, e := range list {
		m, ok := e.(map[string]any)
		if !ok {
			t.wrongType(key, e, fmt.Sprintf("one [[%s]] for each", key))
			continue
		}
		in = append(in, &table{doc: t.doc, path: indexKey(joinKey(t.path, key), i), of: m})
	}
	return in
}

// span is what a number may be, and the words for it.
type span struct {
	low, high float64
	mend      string // what to give: "degrees from -90 to 90, south negative"
}

// number reads a number; absent gives def, and a problem where def is NaN.
func (t *table) number(key string, def float64, s span) float64 {
	var x float64
	switch v := t.get(key).(type) {
	case nil:
		if math.IsNaN(def) {
			t.refuse(key, key+" is not given", "add "+key+", "+s.mend)
		}
		return def
	case int64:
		x = float64(v)
	case float64:
		x = v
	default:
		t.wrongType(key, v, s.mend)
		return def
	}
	if !(x >= s.low && x <= s.high) { // a NaN is refused too
		t.refuse(key, fmt.Sprintf("%s is %g", key, x), "give "+s.mend)
		return def
	}
	return x
}

// maybe reads a number that may be left out: nil then.
func (t *table) maybe(key string, s span) *float64 {
	if t.of[key] == nil {
		t.known = append(t.known, key)
		return nil
	}
	x := t.number(key, 0, s)
	return &x
}

// text reads a text of at most maxTextLen bytes on one line; absent gives def.
func (t *table) text(key, def string) string {
	v := t.get(key)
	if v == nil {
		return def
	}
	s, ok := v.(string)
	if !ok {
		t.wrongType(key, v, "a text in \"quotation marks\"")
		return def
	}
	if len(s) > maxTextLen || strings.ContainsFunc(s, unicode.IsControl) {
		t.refuse(key, key+" is too long or runs over more than one line", fmt.Sprintf("give a text of at most %d letters on one line", maxTextLen))
		return def
	}
	return strings.TrimSpace(s)
}

// flag reads true or false; absent is false.
func (t *table) flag(key string) bool {
	v := t.get(key)
	b, ok := v.(bool)
	if v != nil && !ok {
		t.wrongType(key, v, "true or false, without quotation marks")
	}
	return b
}

// done refuses every key that no reader asked for.
func (t *table) done() {
	where := "the file"
	if t.path != "" {
		where = "[" + t.path + "]"
		if i := strings.IndexByte(t.path, '['); i > 0 {
			where = "[[" + t.path[:i] + "]]"
		}
	}
	for key := range t.of {
		if slices.Contains(t.known, key) {
			continue
		}
		mend := fmt.Sprintf("take it out; %s has %s", where, strings.Join(t.known, ", "))
		if near := nearest(key, t.known); near != "" {
			mend = fmt.Sprintf("did you mean %s?", near)
		}
		t.refuse(key, fmt.Sprintf("%q is no key of %s", key, where), mend)
	}
}

// typeWords names a TOML value in a sentence.
func typeWords(v any) string {
	switch v := v.(type) {
	case string:
		if len(v) > maxTextLen {
			v = v[:maxTextLen]
		}
		return fmt.Sprintf("the text %q", v)
	case bool:
		return fmt.Sprintf("%t", v)
	case int64, float64:
		return fmt.Sprintf("the number %v", v)
	case []any:
		return "a list"
	case map[string]any:
		return "a table"
	}
	return "a date or time"
}
