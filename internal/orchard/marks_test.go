package orchard

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

func TestMarksGoOnAfterBadRows(t *testing.T) {
	text := `block,row,tree,mark,since,until,note
b1,1,1,power_line,2026-08-01,,low wire
b1,2,,root rot,,,
B1,,,flooded,2026-01-10,2026-03-01,
b1,1,2,power_lines,,,
b1,1,2,just_pruned,,,
b1,1,3,just_pruned,2026-08-01,,
b1,99,,root_rot,,,
b9,,,root_rot,,,
b1,1,99,root_rot,,,
b1,1,1,too_young,1 Aug,,
b1,1,1,too_young,2026-08-02,2026-08-01,
`
	marks, problems := ParseMarks(MarksFile, []byte(text), smallOrchard(t))
	if len(marks) != 4 {
		t.Errorf("%d marks kept, 4 are sound: %+v", len(marks), marks)
	}
	said := problems.Error()
	for _, want := range []string{
		`marks.csv:5: mark is "power_lines": did you mean power_line?`, "marks.csv:6: just_pruned has no since",
		`marks.csv:8: block b1 has no row "99"`, `marks.csv:9: orchard.toml has no block "b9"`, "marks.csv:10: row 1 of block b1",
		`marks.csv:11: since is "1 Aug"`, "marks.csv:12: until 2026-08-01 is before since",
	} {
		if !strings.Contains(said, want) {
			t.Errorf("it is not said: %s\n%s", want, said)
		}
	}
	if len(problems) != 7 {
		t.Errorf("%d problems:\n%s", len(problems), said)
	}
}

func TestMarksHoldWhereAndWhenTheySay(t *testing.T) {
	o := smallOrchard(t)
	marks, problems := ParseMarks(MarksFile, []byte(`block,row,tree,mark,since,until,note
b1,1,1,power_line,2026-08-01,,low wire
b1,2,,root_rot,,,
b1,,,flooded,2026-01-10,2026-03-01,
b1,1,2,just_pruned,2026-08-01,,
`), o)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	day := func(s string) time.Time { return VisitDay(s) }
	for _, c := range []struct {
		tree  TreeID
		visit string
		gates string
		all   int
	}{
		{TreeID{"b1", 1, 1}, "2026-08-14", "power line near (since 2026-08-01: low wire)", 1},
		{TreeID{"B1", 1, 1}, "2026-07-31", "", 0},
		{TreeID{"b1", 1, 1}, "2026-02-01", "", 1}, // flooded is no gate
		{TreeID{"b1", 2, 3}, "2026-08-14", "root rot known", 1},
		{TreeID{"b1", 1, 2}, "2026-08-01", "just pruned (since 2026-08-01)", 1},
		{TreeID{"b1", 1, 2}, "2027-02-01", "", 0}, // 184 days after the cut: half a year is over
		{TreeID{"b1", 1, 1}, "harvest", "power line near (since 2026-08-01: low wire)", 2},
	} {
		got := marks.Gates(c.tree, day(c.visit))
		said := ""
		for _, m := range got {
			said += m.Reason()
		}
		if said != c.gates {
			t.Errorf("%s at %s: gates %q, want %q", c.tree, c.visit, said, c.gates)
		}
		if all := marks.Of(c.tree, day(c.visit)); len(all) != c.all {
			t.Errorf("%s at %s: %d marks, want %d: %v", c.tree, c.visit, len(all), c.all, all)
		}
	}
}

func TestEveryMarkHasWordsAndTheTemplateNamesIt(t *testing.T) {
	for _, k := range MarkKinds() {
		if k.Words() == "" {
			t.Errorf("mark %s has no words", k)
		}
		if !strings.Contains(marksTemplate, string(k)) {
			t.Errorf("the template does not name %s", k)
		}
	}
	if marks, problems := ParseMarks(MarksFile, []byte(marksTemplate), smallOrchard(t)); len(marks)+len(problems) > 0 {
		t.Errorf("the template gives %v %v", marks, problems)
	}
}

func TestLoadMarks(t *testing.T) {
	dir, o := t.TempDir(), smallOrchard(t)
	if marks, problems, err := LoadMarks(dir, o); len(marks)+len(problems) > 0 || err != nil {
		t.Errorf("no file gives %v %v %v", marks, problems, err)
	}
	if err := os.WriteFile(filepath.Join(dir, MarksFile), []byte("block,row,tree,mark\nb1,1,1,too_young\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	if marks, problems, err := LoadMarks(dir, o); len(marks) != 1 || len(problems) > 0 || err != nil {
		t.Errorf("gives %v %v %v", marks, problems, err)
	}
}

// Any bytes give marks that the orchard can hold, or problems, never a panic.
func FuzzParseMarks(f *testing.F) {
	f.Add([]byte("block,row,tree,mark,since,until,note\nb1,1,1,power_line,2026-08-01,,low\n"))
	f.Add([]byte("block;row;tree;mark\nb1;;;flooded\n"))
	f.Add([]byte(marksTemplate))
	o := smallOrchard(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		marks, problems := ParseMarks(MarksFile, data, o)
		for _, m := range marks {
			if m.Kind.Words() == "" || m.Since != nil && m.Until != nil && m.Until.Before(*m.Since) {
				t.Errorf("mark %+v", m)
			}
		}
		namesLines(t, MarksFile, string(data), problems)
	})
}
