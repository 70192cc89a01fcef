package orchard

import "strings"

// nearest returns the known word that an unknown one is most likely meant to be:
// one that begins like it or differs in at most two letters; "" for none.
func nearest(word string, known []string) string {
	const most = 2 // letters: a slip, a swap; more would guess
	best, at := "", most+1
	for _, k := range known {
		if strings.HasPrefix(k, word+"_") || strings.HasPrefix(word, k+"_") {
			return k
		}
		if d := editDistance(strings.ToLower(word), k); d < at && d < len(k)/2 {
			best, at = k, d
		}
	}
	return best
}

// editDistance is Levenshtein's: the fewest letters to put in, take out or change.
// A word much longer than any key is cut, as it is no slip of one.
func editDistance(a, b string) int {
	a = a[:min(len(a), 2*maxKeyLen)]
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		diagonal := row[0]
		row[0] = i + 1
		for j := range len(b) {
			change := diagonal
			if a[i] != b[j] {
				change++
			}
			diagonal = row[j+1]
			row[j+1] = min(change, diagonal+1, row[j]+1)
		}
	}
	return row[len(b)]
}
