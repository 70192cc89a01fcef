// Package floorlight tells sun from shade on the floor under a tree, pixel by
// pixel, in linear light. It knows pixels and no metres: the caller says how
// many pixels the floor's grain has.
//
// The model. A floor's light is its reflectance times shade*(1 + (C-1)*f), with
// f the visible share of the sun's disc (0..1, penumbra between) and C the
// contrast of sun to shade, 3 to 20 under a canopy on a clear day. Reflectance
// varies two- to threefold from leaf to leaf, in the sun as in the shade.
//
//   - The board's print is white, grey and black in whatever light falls on it: the
//     tone curve that keeps their ratios the same in all of it is the camera's, and
//     is taken out (print.go, tonefit.go, tone.go). Left in, it pulls penumbra
//     toward the sun or toward the shade, by how the photo is exposed.
//   - Smooth at the grain's scale and fit shade, sun and the penumbra between them,
//     with one spread for the floor's own light and dark, to the log of the light
//     (mixture.go); once more with each pixel held against the shade near it.
//   - Split the same floor by brightness and colour together (blend.go): direct sun is
//     warmer than what lights the shade, and a pale leaf in the shade is not. Penumbra
//     is spread as it is on floors under trees (law.go). Both opinions are put together.
//   - The mean of the fraction that is expected so is the sunlit share: it
//     rests on how all of the light is spread, not on choosing patches, which
//     would choose the bright leaves too.
//   - Two lights are two only where the brighter one is the warmer (levels.go).
package floorlight
