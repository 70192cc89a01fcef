package orchard

import (
	"bytes"
	"fmt"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"
)

// keyLines maps the path of each key and table of a TOML file ("blocks[0].rows")
// to its line, so that a value can be refused by the line it stands on.
type keyLines struct {
	parser unstable.Parser
	at     map[string]int
	count  map[string]int // entries of each array of tables so far
	data   []byte
	line   int // of the byte at offset
	offset int
}

// lineAt returns the line of a byte; offsets must not fall.
func (k *keyLines) lineAt(offset int) int {
	k.line += bytes.Count(k.data[k.offset:offset], []byte("\n"))
	k.offset = offset
	return k.line
}

// linesOf reads the key lines of a TOML file that is known to parse.
func linesOf(data []byte) map[string]int {
	k := &keyLines{at: map[string]int{"": 1}, count: map[string]int{}, data: data, line: 1}
	k.parser.Reset(data)
	table := ""
	for k.parser.NextExpression() {
		e := k.parser.Expression()
		switch e.Kind {
		case unstable.Table:
			table = k.walk("", e.Key(), false)
		case unstable.ArrayTable:
			table = k.walk("", e.Key(), true)
		case unstable.KeyValue:
			k.value(k.walk(table, e.Key(), false), e.Value())
		}
	}
	return k.at
}

// maxKeyDepth is how many parts of a key are followed: no key of an orchard file has
// more than three. A key of half a million parts would else be noted half a million
// times, each time a little longer.
const maxKeyDepth = 8

// walk follows a dotted key from a path and notes its line; parts that are arrays
// of tables stand for their last entry, and a new entry is begun for the key itself
// where it opens one. Parts beyond maxKeyDepth stand for the one before them.
func (k *keyLines) walk(path string, key unstable.Iterator, opens bool) string {
	for key.Next() {
		n := key.Node()
		if strings.Count(path, ".") >= maxKeyDepth {
			break
		}
		path = joinKey(path, string(n.Data))
		if key.IsLast() && opens {
			k.count[path]++
		}
		line := k.lineAt(max(int(n.Raw.Offset), k.offset))
		k.note(path, line)
		if c := k.count[path]; c > 0 {
			path = indexKey(path, c-1)
			k.note(path, line)
		}
	}
	return path
}

// note keeps the first line a path is seen on.
func (k *keyLines) note(path string, line int) {
	if _, seen := k.at[path]; !seen {
		k.at[path] = line
	}
}

// value notes the keys within inline tables and arrays.
func (k *keyLines) value(path string, v *unstable.Node) {
	switch v.Kind {
	case unstable.InlineTable:
		for it := v.Children(); it.Next(); {
			kv := it.Node()
			if kv.Kind == unstable.KeyValue {
				k.value(k.walk(path, kv.Key(), false), kv.Value())
			}
		}
	case unstable.Array:
		i := 0
		for it := v.Children(); it.Next(); {
			if it.Node().Kind == unstable.Comment {
				continue
			}
			k.note(indexKey(path, i), k.at[path])
			k.value(indexKey(path, i), it.Node())
			i++
		}
	}
}

func joinKey(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}

func indexKey(path string, i int) string { return fmt.Sprintf("%s[%d]", path, i) }
