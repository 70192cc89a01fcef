package report

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"io"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"

	"rowlight/internal/orchard"
)

// bytesOf runs a writer and fails the test on its error.
func bytesOf(t *testing.T, write func(io.Writer) error) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := write(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// writers are all files of a visit.
func writers(res *orchard.VisitResult, opt Options) map[string]func(io.Writer) error {
	return map[string]func(io.Writer) error{
		TreesCSVName:  func(w io.Writer) error { return WriteTreesCSV(w, res) },
		PhotosCSVName: func(w io.Writer) error { return WritePhotosCSV(w, res) },
		JSONName:      func(w io.Writer) error { return WriteJSON(w, res) },
		GeoJSONName:   func(w io.Writer) error { return WriteGeoJSON(w, res) },
		HTMLName:      func(w io.Writer) error { return WriteHTML(w, res, opt) },
	}
}

// table reads a CSV back as one map a row, and checks that all rows are as
// long as the head (encoding/csv refuses others) and its names distinct.
func table(t *testing.T, data []byte) []map[string]string {
	t.Helper()
	rows, err := csv.NewReader(bytes.NewReader(data)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	for _, name := range rows[0] {
		if name == "" || seen[name] {
			t.Errorf("column %q is empty or stands twice", name)
		}
		seen[name] = true
	}
	var out []map[string]string
	for _, r := range rows[1:] {
		m := map[string]string{}
		for i, name := range rows[0] {
			m[name] = r[i]
		}
		out = append(out, m)
	}
	return out
}

func TestTreesCSVHoldsEveryTreeAndNumber(t *testing.T) {
	res := fixture()
	rows := table(t, bytesOf(t, func(w io.Writer) error { return WriteTreesCSV(w, res) }))
	if len(rows) != len(res.Trees) {
		t.Fatalf("%d rows for %d trees", len(rows), len(res.Trees))
	}
	for i, tree := range res.Trees {
		row := rows[i]
		if row["block"] != tree.ID.Block || row["row"] != strconv.Itoa(tree.ID.Row) || row["tree"] != strconv.Itoa(tree.ID.Tree) {
			t.Errorf("row %d is of tree %v, want %v", i, row, tree.ID)
		}
		if (row["rank"] == "") != (tree.Priority == nil) {
			t.Errorf("%v: rank %q", tree.ID, row["rank"])
		}
		for _, q := range quantities {
			m := tree.Find(q.Q)
			checkCell(t, row[q.Column], m, func(m *orchard.Measurement) *float64 { return m.Value })
			checkCell(t, row[q.Column+"_low95"], m, func(m *orchard.Measurement) *float64 { return m.Low95 })
			checkCell(t, row[q.Column+"_high95"], m, func(m *orchard.Measurement) *float64 { return m.High95 })
			if m != nil && m.Absent != "" && !strings.Contains(row["absent"], q.Column+": "+m.Absent) {
				t.Errorf("%v: why %s is absent is not told: %q", tree.ID, q.Column, row["absent"])
			}
		}
	}
}

// checkCell holds a cell against its number: half the last decimal written.
func checkCell(t *testing.T, cell string, m *orchard.Measurement, pick func(*orchard.Measurement) *float64) {
	t.Helper()
	var want *float64
	if m != nil {
		want = pick(m)
	}
	if want == nil {
		if cell != "" {
			t.Errorf("cell %q where nothing was measured", cell)
		}
		return
	}
	got, err := strconv.ParseFloat(cell, 64)
	if err != nil || math.Abs(got-*want) > 0.5*math.Pow10(-csvDecimals)+1e-12 {
		t.Errorf("cell %q, want %v (%v)", cell, *want, err)
	}
}

// RFC 4180 section 2: lines end in CRLF (1), a field with a quote, comma or
// break stands in quotes, a quote within is doubled (6, 7).
func TestCSVFollowsRFC4180(t *testing.T) {
	res := fixture()
	res.Trees[0].Flags = []string{`said "low", then left`}
	data := bytesOf(t, func(w io.Writer) error { return WriteTreesCSV(w, res) })
	if n := bytes.Count(data, []byte("\n")); n != bytes.Count(data, []byte("\r\n")) || n != len(res.Trees)+1 {
		t.Errorf("%d line breaks, %d of them CRLF, %d rows", n, bytes.Count(data, []byte("\r\n")), len(res.Trees)+1)
	}
	if !bytes.Contains(data, []byte(`"said ""low"", then left"`)) {
		t.Error("quotes within a field are not doubled")
	}
}

func TestPhotosCSVHoldsEveryPhoto(t *testing.T) {
	res := fixture()
	rows := table(t, bytesOf(t, func(w io.Writer) error { return WritePhotosCSV(w, res) }))
	if len(rows) != len(res.Photos) {
		t.Fatalf("%d rows for %d photos", len(rows), len(res.Photos))
	}
	for i, p := range res.Photos {
		row := rows[i]
		if row["path"] != p.Path || row["sha256"] != p.SHA256 || row["status"] != string(p.Status) || row["reason"] != p.Reason || row["mend"] != p.Mend {
			t.Errorf("row %v is not photo %v", row, p)
		}
		if p.TakenAt != nil && row["taken_at"] != p.TakenAt.Format("2006-01-02T15:04:05Z07:00") {
			t.Errorf("%s taken at %q", p.Path, row["taken_at"])
		}
		m := p.Find(orchard.HeightM)
		checkCell(t, row["height_m"], m, func(m *orchard.Measurement) *float64 { return m.Value })
	}
}

func TestFormulasAreDefused(t *testing.T) {
	for _, s := range []string{"=1+1", "+1", "-1+cmd", "@SUM(A1)", "\t=1", "\r=1", "\n=1", "  =1"} {
		if got := text(s); !strings.HasPrefix(got, "'") {
			t.Errorf("text(%q) = %q, a spreadsheet would reckon it", s, got)
		}
	}
	for _, s := range []string{"", "b1", "a=b", "6 % sunlit", "it's"} {
		if got := text(s); got != s {
			t.Errorf("text(%q) = %q, want it unchanged", s, got)
		}
	}
	if got := number(num(-0.25)); got != "-0.25" {
		t.Errorf("a negative number became %q", got)
	}
	if got := number(num(-0.00001)); got != "0" {
		t.Errorf("a negative zero became %q", got)
	}
}

func TestJSONRoundTrip(t *testing.T) {
	res := fixture()
	data := bytesOf(t, func(w io.Writer) error { return WriteJSON(w, res) })
	back, err := ReadJSON(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	again := bytesOf(t, func(w io.Writer) error { return WriteJSON(w, back) })
	if !bytes.Equal(data, again) {
		t.Error("results.json written, read and written again differs")
	}
	if !reflect.DeepEqual(res.Trees, back.Trees) {
		t.Error("trees changed on their way through results.json")
	}
	for i, p := range back.Photos { // the zone's name is not in RFC 3339, the moment is
		if w := res.Photos[i].TakenAt; (w == nil) != (p.TakenAt == nil) || w != nil && !w.Equal(*p.TakenAt) {
			t.Errorf("%s: taken at %v, want %v", p.Path, p.TakenAt, w)
		}
	}
}

func TestReadJSONRefusesOtherSchemas(t *testing.T) {
	for _, s := range []string{`{"schema":"rowlight-results/2"}`, `{}`, `[1`, ``} {
		if _, err := ReadJSON(strings.NewReader(s)); err == nil {
			t.Errorf("ReadJSON took %q", s)
		}
	}
}

func TestNumbersThatAreNoneAreTold(t *testing.T) {
	res := fixture()
	id := res.Trees[0].ID
	res.Trees[0].Measurements[0].Value = num(math.NaN())
	res.Trees[1].Priority.High95 = math.Inf(1)
	for name, write := range writers(res, fixtureOptions()) {
		data := bytesOf(t, write)
		if bytes.Contains(data, []byte("NaN")) || bytes.Contains(data, []byte("Inf,")) {
			t.Errorf("%s holds what is no number", name)
		}
	}
	s := sound(res)
	for i := range s.Trees {
		if m := s.Trees[i].Find(orchard.SunlitFractionRef); s.Trees[i].ID == id && (m.Value != nil || m.Absent != notANumber) {
			t.Errorf("NaN came through as %+v", m)
		}
	}
	last := s.Trees[len(s.Trees)-2:]
	if !slices.ContainsFunc(last, func(t orchard.TreeResult) bool { return t.Unranked == notANumber }) {
		t.Error("a tree with an endless interval kept its rank")
	}
	if !math.IsNaN(*res.Trees[0].Measurements[0].Value) {
		t.Error("the caller's result was changed")
	}
}

// The order of the input's trees, photos and map keys must not show.
func TestSameInputSameBytes(t *testing.T) {
	res := fixture()
	mixed := *res
	mixed.Trees, mixed.Photos = slices.Clone(res.Trees), slices.Clone(res.Photos)
	slices.Reverse(mixed.Trees)
	slices.Reverse(mixed.Photos)
	other := writers(&mixed, fixtureOptions())
	for name, write := range writers(res, fixtureOptions()) {
		first := bytesOf(t, write)
		for range 5 {
			if !bytes.Equal(first, bytesOf(t, write)) {
				t.Errorf("%s: two writings differ", name)
			}
		}
		if !bytes.Equal(first, bytesOf(t, other[name])) {
			t.Errorf("%s depends on the order of its input", name)
		}
	}
}

func TestAnEmptyVisitHasAllFiles(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "results", "v")
	if err := WriteFolder(dir, &orchard.VisitResult{Visit: "v"}, Options{}); err != nil {
		t.Fatal(err)
	}
	entries, err := os.ReadDir(dir)
	if err != nil || len(entries) != 5 {
		t.Fatalf("%v, %v: want five files and no leavings", entries, err)
	}
	data, _ := os.ReadFile(filepath.Join(dir, JSONName))
	var m map[string]any
	if err := json.Unmarshal(data, &m); err != nil || m["trees"] == nil || m["photos"] == nil {
		t.Errorf("results.json of nothing: %s, %v", data, err)
	}
}
