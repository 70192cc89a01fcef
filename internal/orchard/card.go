package orchard

import (
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"
)

// A tree card is a QR code (ISO/IEC 18004) with this text, all capitals, so that
// it fits the code's alphanumeric set and the code stays coarse:
//
//	ROWLIGHT1:B1:3:11:CC
//
// the version, the block's key, row and tree number, and two check digits over
// all before them (the last colon included): read the bytes as a number N to the
// base 256; CC = 98 - (100 N mod 97), two digits, the scheme of ISO/IEC 7064
// MOD 97-10. One wrong letter or two neighbours swapped never pass: 97 is prime and
// divides neither a difference of two letters, nor 255, nor a power of 256.
const (
	cardMark    = "ROWLIGHT"
	cardVersion = "1"
	checkPrime  = 97
)

// ErrNoCard is a code that is none of ours: another QR code in the picture.
var ErrNoCard = errors.New("orchard: the code is no Rowlight tree card")

// CardText returns the text of a tree's card.
func CardText(t TreeID) string {
	text := strings.ToUpper(fmt.Sprintf("%s%s:%s:%d:%d:", cardMark, cardVersion, t.Block, t.Row, t.Tree))
	return text + checkDigits(text)
}

func checkDigits(text string) string {
	n := 0
	for i := range len(text) {
		n = (n*256 + int(text[i])) % checkPrime
	}
	return fmt.Sprintf("%02d", checkPrime+1-n*100%checkPrime)
}

// ParseCard reads a card's text. The block's key comes in small letters: cards do
// not carry case; Orchard.Resolve gives it as the orchard file writes it. The error
// is ErrNoCard for a code that is not ours, and says what is wrong with one that
// is.
func ParseCard(text string) (TreeID, error) {
	if !strings.HasPrefix(text, cardMark) {
		return TreeID{}, ErrNoCard
	}
	version, _, _ := strings.Cut(text[len(cardMark):], ":")
	if version != cardVersion && regexp.MustCompile(`^[0-9]{1,3}$`).MatchString(version) {
		return TreeID{}, fmt.Errorf("tree card of version %s, this Rowlight reads version %s: print the cards again with: rowlight boards", version, cardVersion)
	}
	form := regexp.MustCompile(`^` + cardMark + cardVersion + `:([A-Z0-9]+(?:[-_][A-Z0-9]+)*):([1-9][0-9]{0,3}):([1-9][0-9]{0,3}):([0-9]{2})$`)
	m := form.FindStringSubmatch(text)
	if m == nil || len(m[1]) > maxKeyLen || checkDigits(text[:len(text)-len(m[4])]) != m[4] {
		return TreeID{}, errors.New("tree card was misread or is damaged: photograph it again, closer and straight on, or print it again")
	}
	row, _ := strconv.Atoi(m[2]) // four digits always convert
	tree, _ := strconv.Atoi(m[3])
	return TreeID{Block: strings.ToLower(m[1]), Row: row, Tree: tree}, nil
}
