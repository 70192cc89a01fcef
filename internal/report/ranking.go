package report

import (
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"rowlight/internal/orchard"
)

// The terminal list's measures, in characters.
const (
	minWidth      = 24 // narrower terminals get this
	tableWidth    = 64 // from here on a line a tree, below it stacked
	reasonsShown  = 2
	columnGap     = 2
	stackedIndent = 2
)

// WriteRanking writes the ranked list as plain text for a terminal of the
// given width in characters: place (ties shown), tree, priority with its
// interval, the two strongest reasons, what is missing. Control characters in
// names never reach the terminal.
func WriteRanking(w io.Writer, res *orchard.VisitResult, width int) error {
	s := sound(res)
	ranked, unranked := groups(s.Trees)
	lines := rankLines(ranked)
	var b strings.Builder
	if width = max(width, minWidth); width >= tableWidth && len(lines) > 0 {
		writeTable(&b, lines, width)
	} else {
		writeStacked(&b, lines, width)
	}
	for _, t := range unranked {
		why := t.Unranked
		if why == "" {
			why = "nothing could be measured"
		}
		hang(&b, "Not in the order: ", plain(shortName(t.ID)+": "+why), width)
	}
	if len(s.Trees) == 0 {
		b.WriteString("No tree has a photo at this visit.\n")
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// TextLine is a head and words that hang below it.
type TextLine struct{ Head, Text string }

// WriteTextLines writes lines as the ranked list is written: broken to the width,
// control characters and signs that a terminal may lack taken out.
func WriteTextLines(w io.Writer, lines []TextLine, width int) error {
	var b strings.Builder
	for _, l := range lines {
		hang(&b, plain(l.Head), plain(l.Text), max(width, minWidth))
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// rankLine is one tree's cells.
type rankLine struct{ place, tree, priority, why string }

func rankLines(ranked []group) []rankLine {
	var out []rankLine
	for _, g := range ranked {
		place := g.Label()
		if g.Tied() {
			place += " tied"
		}
		for _, t := range g.Trees {
			out = append(out, rankLine{plain(place), plain(shortName(t.ID)), plain(scoreText(t.Priority)), plain(whyLine(&t))})
		}
	}
	return out
}

func whyLine(t *orchard.TreeResult) string {
	said := reasons(t.Priority)
	said = said[:min(len(said), reasonsShown)]
	if len(said) == 0 {
		said = []string{"no shortfall in what was measured"}
	}
	if m := missing(t.Missing); m != "" {
		said = append(said, m)
	}
	return strings.Join(said, "; ")
}

// shortName is a tree's name without the layout: "b1 row 3 tree 11".
func shortName(id orchard.TreeID) string {
	return fmt.Sprintf("%s row %d tree %d", id.Block, id.Row, id.Tree)
}

func writeTable(b *strings.Builder, lines []rankLine, width int) {
	head := rankLine{"place", "tree", "priority", "why"}
	lines = append([]rankLine{head}, lines...)
	var wPlace, wTree, wPriority int
	for _, l := range lines {
		wPlace, wTree = max(wPlace, utf8.RuneCountInString(l.place)), max(wTree, utf8.RuneCountInString(l.tree))
		wPriority = max(wPriority, utf8.RuneCountInString(l.priority))
	}
	if left := wPlace + wTree + wPriority + 3*columnGap; left > width*2/3 {
		writeStacked(b, lines[1:], width)
		return
	}
	gap := strings.Repeat(" ", columnGap)
	for _, l := range lines {
		hang(b, pad(l.place, wPlace)+gap+pad(l.tree, wTree)+gap+pad(l.priority, wPriority)+gap, l.why, width)
	}
}

func writeStacked(b *strings.Builder, lines []rankLine, width int) {
	indent := strings.Repeat(" ", stackedIndent)
	for _, l := range lines {
		for _, line := range wrap(l.place+": "+l.tree, width) {
			b.WriteString(line + "\n")
		}
		hang(b, indent, l.priority+": "+l.why, width)
	}
}

// hang writes head and text, the text's further lines below its first.
func hang(b *strings.Builder, head, text string, width int) {
	indent := utf8.RuneCountInString(head)
	if indent > width/2 && indent > stackedIndent && width < tableWidth {
		indent = stackedIndent
	}
	first := max(width-utf8.RuneCountInString(head), 1)
	lines := wrapFirst(text, first, max(width-indent, 1))
	for i, l := range lines {
		if i > 0 {
			head = strings.Repeat(" ", indent)
		}
		b.WriteString(strings.TrimRight(head+l, " ") + "\n")
	}
}

func wrap(s string, width int) []string { return wrapFirst(s, width, width) }

// wrapFirst breaks text at blanks, but not between a number and its unit; a word longer than a line is cut. The
// first line may have another width than the rest. It gives at least one line.
func wrapFirst(s string, first, rest int) []string {
	lines := []string{""}
	width := first
	for _, word := range strings.FieldsFunc(glue(s), func(r rune) bool { return r == ' ' }) {
		for {
			last := &lines[len(lines)-1]
			used := utf8.RuneCountInString(*last)
			n := utf8.RuneCountInString(word)
			if used == 0 && n <= width || used > 0 && used+1+n <= width {
				*last = strings.TrimPrefix(*last+" "+word, " ")
				break
			}
			if used == 0 {
				r := []rune(word)
				*last, word = string(r[:width]), string(r[width:])
			}
			lines = append(lines, "")
			width = rest
		}
	}
	for i := range lines {
		lines[i] = strings.ReplaceAll(lines[i], space, " ")
	}
	return lines
}

func pad(s string, width int) string {
	return s + strings.Repeat(" ", max(width-utf8.RuneCountInString(s), 0))
}
