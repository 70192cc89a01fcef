package orchard

// Kinds lists the kinds of shot.
func Kinds() []Kind { return []Kind{Floor, Side, Alley} }

// KindInName returns the kind that stands as a word in a photo's name; "" where
// none does, or two that differ.
func KindInName(name string) Kind { return kindWord(name) }
