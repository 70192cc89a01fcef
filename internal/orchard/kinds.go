package orchard

// Kinds lists the kinds of shot that a tree wants at every visit. Up stands in for
// Floor where there is no sun, and is asked of nobody.
func Kinds() []Kind { return []Kind{Floor, Side, Alley} }

// AllKinds lists every kind of shot there is.
func AllKinds() []Kind { return append(Kinds(), AlleyFloor, Up) }

// KindInName returns the kind that stands as a word in a photo's name; "" where
// none does, or two that differ.
func KindInName(name string) Kind { return kindWord(name) }
