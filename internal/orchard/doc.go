// Package orchard is the domain: the orchard file, blocks, trees, visits,
// photos and their records. It holds no image code and imports none of the
// packages that measure.
package orchard
