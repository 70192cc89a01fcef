// Package floorlight tells sun from shade on the floor under a tree, pixel by
// pixel, in linear light. It knows pixels and no metres: the caller says how
// many pixels the floor's grain has.
//
// The model. A floor's light is its reflectance times shade*(1 + (C-1)*f), with
// f the visible share of the sun's disc (0..1, penumbra between) and C the
// contrast of sun to shade, 5 to 20 under a canopy on a clear day. Reflectance
// varies two- to threefold from leaf to leaf but not over a hand's breadth. So:
// smooth at the grain's scale, fit shade, sun and the penumbra between them to
// the log of the light (mixture.go), take the mean light of the patches that are
// surely shade and surely sun (levels.go), and unmix each pixel between these
// two linearly (unmix.go). The mean of the unmixed values over an area is its
// sunlit share: reflectance averages out, penumbra counts by its share.
//
// Green and blue light are used and red is not: soil, litter and bark are red,
// and where the sun falls on them red is the channel that reaches the tone
// curve's shoulder and stops growing with the light.
package floorlight
