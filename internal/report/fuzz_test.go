package report

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"io"
	"reflect"
	"strings"
	"testing"

	"rowlight/internal/orchard"
)

// FuzzReadJSON: no bytes panic the reader of results.json; what it takes can be
// written as every file and printed, and comes back from results.json as it went.
func FuzzReadJSON(f *testing.F) {
	var whole bytes.Buffer
	res := fixture()
	res.Visit = "2026-01-20"
	if err := WriteJSON(&whole, res); err != nil {
		f.Fatal(err)
	}
	small := *res
	small.Trees, small.Photos, small.Pairs = res.Trees[:1], res.Photos[:1], nil
	var one bytes.Buffer
	if err := WriteJSON(&one, &small); err != nil {
		f.Fatal(err)
	}
	f.Add(one.Bytes())
	f.Add([]byte(`{"schema":"rowlight-results/1","visit":"v","trees":[{"id":{"block":"../../x","row":1,"tree":1}}]}`))
	f.Add([]byte(`{"schema":"rowlight-results/1","visit":"v","trees":[{"id":{"block":"b1","row":1,"tree":1},"measurements":[{"quantity":"height_m","unit":"m","value":3}]}]}`))
	f.Add([]byte(`{"schema":"rowlight-results/1","visit":"v","photos":[{"path":"../../etc/passwd","status":"measured","overlay":"/etc/passwd"}]}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		res, err := ReadJSON(bytes.NewReader(data))
		if err != nil {
			return
		}
		if err := res.Check(); err != nil {
			t.Fatalf("read, though %v", err)
		}
		first := bytesOf(t, func(w io.Writer) error { return WriteJSON(w, res) })
		back, err := ReadJSON(bytes.NewReader(first))
		if err != nil {
			t.Fatalf("written and not read again: %v", err)
		}
		if again := bytesOf(t, func(w io.Writer) error { return WriteJSON(w, back) }); !bytes.Equal(first, again) {
			t.Error("written, read and written again it differs")
		}
		allWrite(t, res)
	})
}

// allWrite puts a result through every writer and holds each file to its form.
func allWrite(t *testing.T, res *orchard.VisitResult) {
	t.Helper()
	for name, write := range writers(res, fixtureOptions()) {
		data := bytesOf(t, write)
		switch name {
		case HTMLName:
			parse(t, data)
		case JSONName, GeoJSONName:
			if !json.Valid(data) {
				t.Errorf("%s is no JSON", name)
			}
		default:
			noFormulas(t, name, data)
		}
	}
	var out strings.Builder
	if err := errors.Join(WriteRanking(&out, res, 80), WriteTreeLines(io.Discard, res)); err != nil {
		t.Fatal(err)
	}
	for _, tree := range res.Trees {
		if err := WriteExplain(&out, res, tree.ID); err != nil {
			t.Fatal(err)
		}
	}
	if s := out.String(); strings.ContainsFunc(s, func(r rune) bool { return r != '\n' && unprintable(r) }) {
		t.Errorf("what is printed holds control characters: %q", s)
	}
}

// noFormulas holds a CSV to this: no cell but a number of ours begins as a formula
// does, neither for one who parts cells at commas nor at semicolons.
func noFormulas(t *testing.T, name string, data []byte) {
	t.Helper()
	rows, err := csv.NewReader(bytes.NewReader(data)).ReadAll()
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	for _, row := range rows {
		for i, cell := range row {
			for _, part := range strings.Split(cell, ";") {
				if s := strings.TrimSpace(part); s != "" && strings.ContainsRune("=+-@", rune(s[0])) && !isNumber(s) {
					t.Errorf("%s, column %s: %q", name, rows[0][i], cell)
				}
			}
		}
	}
}

func isNumber(s string) bool {
	return s != "-" && strings.Trim(s, "-.0123456789: ") == "" // profiles are pairs, "0.5: 3.2"
}

// FuzzSafeCell: a cell of words never begins a formula, lies on one line, and comes
// back as it was, but for what cannot be printed.
func FuzzSafeCell(f *testing.F) {
	for _, s := range []string{"", "=1+1", "'=1", "''+1", "a;=1", "; -1", " @SUM(A1)", "\t=1", "\r\n-1", "＝1", "it's", "'"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		cell := SafeCell(s)
		if want := oneLine(s); strings.TrimSpace(orchard.PlainCell(cell)) != strings.TrimSpace(want) {
			t.Errorf("%q becomes %q, read back as %q", s, cell, orchard.PlainCell(cell))
		}
		if strings.ContainsAny(cell, "\r\n\t\x00") {
			t.Errorf("%q becomes %q", s, cell)
		}
		var b bytes.Buffer
		if err := writeRows(&b, [][]string{{"head", "more"}, {cell, "x"}}); err != nil {
			t.Fatal(err)
		}
		noFormulas(t, "a table", b.Bytes())
		if again := SafeCell(cell); !reflect.DeepEqual(orchard.PlainCell(again), cell) {
			t.Errorf("made safe twice, %q does not come back: %q", cell, again)
		}
	})
}
