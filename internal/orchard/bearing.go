package orchard

import "math"

// Compass names a bearing (degrees from north, clockwise, any turn of the circle) by
// the nearest of eight winds.
func Compass(deg float64) string {
	winds := [8]string{"north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"}
	i := int(math.Round(math.Mod(math.Mod(deg, 360)+360, 360) / 45))
	return winds[i%len(winds)]
}
