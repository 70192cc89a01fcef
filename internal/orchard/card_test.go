package orchard

import (
	"errors"
	"strings"
	"testing"
)

// qrAlphanumeric is the alphanumeric set of ISO/IEC 18004.
const qrAlphanumeric = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:"

func TestCardOfEveryTree(t *testing.T) {
	o := smallOrchard(t)
	seen := map[string]bool{}
	for _, want := range o.Trees() {
		text := CardText(want)
		if strings.Trim(text, qrAlphanumeric) != "" || seen[text] {
			t.Fatalf("card text %q is no alphanumeric QR text or stands twice", text)
		}
		seen[text] = true
		got, err := ParseCard(text)
		if err != nil {
			t.Fatalf("%q: %v", text, err)
		}
		if got, why := o.Resolve(got); why != "" || got != want {
			t.Errorf("%q gives %v %s, want %v", text, got, why, want)
		}
	}
}

// TestCardErrorsAreSeen changes every letter to every other and swaps every pair of
// neighbours, which MOD 97-10 must all find.
func TestCardErrorsAreSeen(t *testing.T) {
	for _, id := range []TreeID{{"b1", 3, 11}, {"north-2", 12, 100}, {"z9z", 9999, 9999}} {
		text := CardText(id)
		for i := range len(text) {
			for c := range len(qrAlphanumeric) {
				if qrAlphanumeric[c] == text[i] {
					continue
				}
				if got, err := ParseCard(text[:i] + string(qrAlphanumeric[c]) + text[i+1:]); err == nil {
					t.Fatalf("%q with %c at %d reads as %v", text, qrAlphanumeric[c], i, got)
				}
			}
			if i > 0 && text[i] != text[i-1] {
				if got, err := ParseCard(text[:i-1] + string(text[i]) + string(text[i-1]) + text[i+1:]); err == nil {
					t.Fatalf("%q with %d and %d swapped reads as %v", text, i-1, i, got)
				}
			}
		}
	}
}

func TestCardsOfOthers(t *testing.T) {
	for _, text := range []string{"", "https://example.org/", "rowlight1:B1:3:11:00"} {
		if _, err := ParseCard(text); !errors.Is(err, ErrNoCard) {
			t.Errorf("%q: %v, want ErrNoCard", text, err)
		}
	}
	for text, say := range map[string]string{
		"ROWLIGHT2:ANYTHING":  "version 2",
		"ROWLIGHT1:B1:3:11:":  "misread",
		"ROWLIGHT1:B1:3:0:50": "misread",
		"ROWLIGHT":            "misread",
	} {
		if _, err := ParseCard(text); err == nil || errors.Is(err, ErrNoCard) || !strings.Contains(err.Error(), say) {
			t.Errorf("%q: %v, want %q", text, err, say)
		}
	}
}
