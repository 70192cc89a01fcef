package orchard

import "testing"

func TestCompass(t *testing.T) {
	for deg, want := range map[float64]string{
		0: "north", 352: "north", 22: "north", 23: "north-east", 180: "south", -90: "west", 359.9: "north",
		44: "north-east", 181: "south", 359: "north", 300: "north-west", 500: "south-east",
	} {
		if got := Compass(deg); got != want {
			t.Errorf("%v is %s, want %s", deg, got, want)
		}
	}
}
