// Package skyward tells sky from canopy in a photo taken straight up from under a
// tree. It knows pixels and no metres.
//
// The blue channel is used: leaves scatter least blue light and clear sky is
// brightest in it, so the two are furthest apart there (common in the literature
// of cover photography). The codes are taken as the camera wrote them: a threshold
// does not mind a tone curve.
//
// Two peaks are sought in the histogram, foliage (dark) and sky (bright), and on
// each one's inner flank the corner where the peak ends, after the two-corner
// method (Macfarlane 2011, Agric. For. Meteorol. 151:833-840, from memory: the
// paper's exact search ranges were not read, those here are ours) with the corner
// of Rosin 2001, Pattern Recognition 34:2083-2096. Between the corners lie mixed
// pixels; how they are split hardly matters, says the first paper's title, and the
// caller is given the share at three cuts so that it can say how much it does here.
package skyward
