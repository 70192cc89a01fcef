package accuracy

import (
	"bytes"
	"fmt"
	"strings"
)

// The README's table stands between these two lines.
const (
	tableBegins = "<!-- make accuracy README=README.md writes this table -->"
	tableEnds   = "<!-- end of the table -->"
)

// Markdown is the bounds' table as the README shows it.
func Markdown(vs []Verdict) string {
	var b strings.Builder
	fmt.Fprintln(&b, "| bound | by | found | limit | photos | |")
	fmt.Fprintln(&b, "| --- | --- | --- | --- | --- | --- |")
	for _, v := range vs {
		found, verdict := v.words("**missed**")
		fmt.Fprintf(&b, "| %s | %s | %s | %s | %d | %s |\n", strings.ReplaceAll(v.name(), "_", " "), orAny(v.Method), found, v.limitText(), v.Photos, verdict)
	}
	return b.String()
}

// PutTable puts the bounds' table into a README, between its marks.
func PutTable(readme []byte, vs []Verdict) ([]byte, error) {
	head, rest, ok := bytes.Cut(readme, []byte(tableBegins+"\n"))
	_, tail, ends := bytes.Cut(rest, []byte(tableEnds))
	if !ok || !ends {
		return nil, fmt.Errorf("accuracy: the README has no line %q before a line %q", tableBegins, tableEnds)
	}
	out := append(bytes.Clone(head), tableBegins+"\n\n"+Markdown(vs)+"\n"+tableEnds...)
	return append(out, tail...), nil
}
