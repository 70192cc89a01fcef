// Package scene draws photos of an invented orchard whose answers are known:
// leaves, wood, a floor of litter and grass, a survey board, a sun of 0.53
// degrees and a camera with noise. It serves the demo and the unit tests; it
// never proves how exact the measurements are.
//
// It imports none of the packages it is used to judge. What it shares with them
// (the board, the sun's place, the sRGB curve) it has from the same printed
// sources and writes again, so that one mistake cannot hide on both sides.
//
// World: metres, x east, y north, z up; the ground is z = 0.
// Pixel space: x right, y down, pixel centres on whole numbers, of the picture
// as seen (before any turning for EXIF Orientation).
// Light: linear, relative to the sun and sky together on level open ground at a
// clear noon = 1.
//
// How it draws: flat convex faces go through a depth buffer with several
// samples a pixel. Shade on the ground is the same faces projected along many
// directions to the sun's disc, one bit a direction; shade on leaves comes from
// depth maps toward the sun and toward directions spread over the sky. Nothing
// depends on the order in which goroutines run: the same seed gives the same
// bytes for any number of workers.
package scene
