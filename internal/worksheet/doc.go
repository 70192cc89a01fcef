// Package worksheet prints a prune plan as PDF for the crew: the order of work, a page
// a tree with its photo, its cuts and boxes to tick, and the stump and paint log.
package worksheet
