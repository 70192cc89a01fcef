package scene

import (
	"bytes"
	"image/jpeg"
	"math"
	"sync"
	"testing"
	"time"

	"github.com/bep/imagemeta"
)

// noon is a sun high in the north.
func noon() Sun { return Sun{60, 10} }

// floorsOnce paints the floors once for all tests: it is the slow part.
var floorsOnce = sync.OnceValue(func() *Floors { return NewFloors(5) })

// small is a little orchard and a shot of a floor in it.
func small(t *testing.T) (*Stand, *Floors, Shot) {
	t.Helper()
	var trees []*Tree
	for k := range 2 {
		trees = append(trees, Grow(TreeSpec{At: Vec3{0, float64(3 * k), 0}, HeightM: 3.5, BaseM: 0.6,
			AlongM: 1.4, AcrossM: 1.4, Form: Form(k), LeafAreaM2: 12, Seed: uint64(k)}))
	}
	centre := Vec3{0.3, -0.9, 0}
	camera := Aim(Vec3{0.4, -1.6, 1.5}, centre, 2, 200, 150)
	return NewStand(5, Orchard, trees...), floorsOnce(),
		Shot{Camera: camera, Boards: []Board{FlatBoard(2, centre, 10)}, Sun: noon(), Seed: 8}
}

// stored takes a photo to the bytes of its file.
func stored(t *testing.T, s *Stand, f *Floors, shot Shot, x Exif) []byte {
	t.Helper()
	b, err := EncodeJPEG(NewView(s, f, shot).Draw().Develop(Phone(shot.Seed)), x)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func TestSameSeedSameBytesForAnyWorkers(t *testing.T) {
	s, floors, shot := small(t)
	first := stored(t, s, floors, shot, Exif{})
	shot.Workers = 3
	if !bytes.Equal(first, stored(t, s, floors, shot, Exif{})) {
		t.Error("three workers give other bytes than one")
	}
	again, _, _ := small(t)
	if !bytes.Equal(first, stored(t, again, NewFloors(5), shot, Exif{})) {
		t.Error("the same orchard grown again gives other bytes")
	}
	shot.Seed++
	if bytes.Equal(first, stored(t, s, floors, shot, Exif{})) {
		t.Error("another seed gives the same noise")
	}
}

// A pinhole puts a point at centre + f X/Z: an upright board 1 m ahead, its sheet's
// bottom 0.300 m up, the lens level at 0.45 m. f = 26/36 of the width.
func TestBoardCornersProjectWhereThePinholeSays(t *testing.T) {
	c := Aim(Vec3{0, -1, 0.45}, Vec3{0, 0, 0.45}, 0, 480, 360)
	b := UprightBoard(0, Vec3{0, 0, 0}, 180)
	const f = 480 * 26.0 / 36
	want := [4][2]float64{ // sheet 420 x 297 mm, lens 147 mm under its top edge
		{239.5 - f*0.195, 179.5 - f*(0.147-0.015)}, {239.5 - f*0.095, 179.5 - f*(0.147-0.015)},
		{239.5 - f*0.095, 179.5 - f*(0.147-0.115)}, {239.5 - f*0.195, 179.5 - f*(0.147-0.115)},
	}
	for i, p := range b.MarkerCorners(0) {
		x, y, ok := c.Project(p)
		if !ok || math.Hypot(x-want[i][0], y-want[i][1]) > 1e-9 {
			t.Errorf("corner %d at %.3f, %.3f, want %.3f, %.3f", i, x, y, want[i][0], want[i][1])
		}
	}
}

// The print must lie in the picture where the corners project: along the middle of
// the first marker's top rim, the ink's width and middle are those of the marker.
// A sample's ink is averaged over 4 looks, 2 samples a pixel: an edge is within an
// eighth of half a pixel, 0.07 px.
func TestPrintLiesWhereItsCornersProject(t *testing.T) {
	camera := Aim(Vec3{0, -1, 0.45}, Vec3{0, 0, 0.45}, 0, 480, 360)
	b := UprightBoard(0, Vec3{0, 0, 0}, 180)
	v := NewView(NewStand(1, Grass), floorsOnce(), Shot{Camera: camera, Boards: []Board{b}, Sky: Overcast, Sun: noon()})
	frame := v.Draw()
	x0, y0, _ := camera.Project(b.At(15, 15+markerMM/moduleCount/2))
	x1, _, _ := camera.Project(b.At(115, 15))
	row := frame.Px[int(math.Round(y0))*frame.W:]
	white := row[int(x0)-3].lum()
	var ink, moment float64
	for x := int(x0) - 3; x <= int(x1)+4; x++ {
		dark := (1 - row[x].lum()/white) / (1 - toner/paper)
		ink, moment = ink+dark, moment+dark*float64(x)
	}
	if math.Abs(ink-(x1-x0)) > 0.14 { // two edges
		t.Errorf("the rim is %.3f px of ink wide, want %.3f", ink, x1-x0)
	}
	if got, want := moment/ink, (x0+x1)/2; math.Abs(got-want) > 0.07 {
		t.Errorf("the rim's middle is at %.3f px, want %.3f", got, want)
	}
}

// Direct sun over shade under a crown: 5 to 20 and typically 8 to 15 (trade
// practice 1.5).
func TestShadeIsNeitherBlackNorPale(t *testing.T) {
	s, floors, shot := small(t)
	v := NewView(s, floors, shot)
	p := Vec3{0, 0.4, 0} // by a trunk
	shade := v.light.sky.scale(math.Pi * s.open.at(p.X, p.Y)).add(v.light.canopy.scale(math.Pi * (1 - s.open.at(p.X, p.Y))))
	sun := v.light.sunNormal.scale(v.toSun.Z)
	if c := sun.add(shade).lum() / shade.lum(); c < 5 || c > 20 {
		t.Errorf("sun to shade contrast %.1f, want 5 to 20", c)
	}
}

func TestExifReadsBack(t *testing.T) {
	s, floors, shot := small(t)
	taken := time.Date(2026, 8, 20, 11, 2, 3, 0, time.FixedZone("", 10*3600))
	data := stored(t, s, floors, shot, Exif{Taken: taken, LatitudeDeg: -26.001234, LongitudeDeg: 152.5, Orientation: 6})
	cfg, err := jpeg.DecodeConfig(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	if cfg.Width != 150 || cfg.Height != 200 {
		t.Errorf("stored %d x %d, want a quarter turned: 150 x 200", cfg.Width, cfg.Height)
	}
	var tags imagemeta.Tags
	_, err = imagemeta.Decode(imagemeta.Options{R: bytes.NewReader(data), ImageFormat: imagemeta.JPEG, Sources: imagemeta.EXIF,
		ShouldHandleTag: func(imagemeta.TagInfo) bool { return true },
		HandleTag:       func(i imagemeta.TagInfo) error { tags.Add(i); return nil }})
	if err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]any{
		"DateTimeOriginal": "2026:08:20 11:02:03", "OffsetTimeOriginal": "+10:00",
		"FocalLengthIn35mmFormat": uint16(26), "Orientation": uint16(6), "Make": "Invented Camera",
	} {
		if got := tags.EXIF()[name].Value; got != want {
			t.Errorf("%s = %v (%T), want %v", name, got, got, want)
		}
	}
	lat, long, err := tags.GetLatLong()
	if err != nil {
		t.Fatal(err)
	}
	// Ten-thousandths of a second of arc are 3e-8 degrees.
	if math.Abs(lat+26.001234) > 3e-8 || math.Abs(long-152.5) > 3e-8 {
		t.Errorf("place %.8f, %.8f, want -26.001234, 152.5", lat, long)
	}
}

// Turning by 6 and then reading as 6 says (row 0 is the right-hand side) gives the
// picture as seen: its top-left pixel is stored at the bottom left.
func TestQuarterTurn(t *testing.T) {
	s, floors, shot := small(t)
	img := NewView(s, floors, shot).Draw().Develop(Sensor{})
	turned := quarter(img, false)
	if got, want := turned.RGBAAt(0, turned.Rect.Dy()-1), img.RGBAAt(0, 0); got != want {
		t.Errorf("top-left pixel stored as %v at the bottom left, want %v", got, want)
	}
	if back := quarter(turned, true); !bytes.Equal(back.Pix, img.Pix) {
		t.Error("a quarter there and back gives another picture")
	}
}
