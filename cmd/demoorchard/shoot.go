package main

import (
	"encoding/json"
	"fmt"
	"math"
	"path"
	"strings"
	"time"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"
	"github.com/makiuchi-d/gozxing/qrcode/decoder"

	"rowlight/internal/orchard"
	"rowlight/internal/scene"
)

// Picture sizes, longer side first: markers of 20 pixels and more at 8 m.
const (
	longPx, shortPx           = 1600, 1200
	quickLongPx, quickShortPx = 480, 360
)

// metresPerDegree of latitude, near enough for a block (an arc minute is a
// nautical mile, 1852 m).
const metresPerDegree = 1852 * 60

// shoot is the photographing of one block at one visit.
type shoot struct {
	*demo
	block *block
	trees map[orchard.TreeID]*scene.Tree
	stand *scene.Stand
}

// take draws one photo and writes it.
func (s *shoot) take(j job) error {
	shot := scene.Shot{Sun: sunAt(j.taken), Seed: s.photoSeed(j)}
	p := s.pose(j)
	shot.Camera, shot.Boards = p.camera, p.boards
	if j.fault == cloudy {
		shot.Sky = scene.Overcast
	}
	view := scene.NewView(s.stand, s.floors, shot)
	img := view.Draw().Develop(scene.Phone(shot.Seed))
	lat, lon := s.degrees(j)
	data, err := scene.EncodeJPEG(img, scene.Exif{Taken: j.taken, LatitudeDeg: lat, LongitudeDeg: lon, Orientation: j.orientation})
	if err != nil {
		return err
	}
	if j.fault == cutShort {
		data = data[:len(data)*2/5]
	}
	if s.truth && j.fault == sound {
		if err := s.writeTruth(j, view); err != nil {
			return err
		}
	}
	s.drawn.Add(1)
	return s.writeOnce(j.name, data)
}

// photoSeed differs for every photo and does not depend on the order of work.
func (s *shoot) photoSeed(j job) uint64 {
	h := s.seed
	for _, c := range []byte(j.name) {
		h = h*1099511628211 ^ uint64(c) // FNV-1's step
	}
	return h
}

// pose places the camera and the board.
func (s *shoot) pose(j job) pose {
	w, h := longPx, shortPx
	if s.quick {
		w, h = quickLongPx, quickShortPx
	}
	if j.orientation != 1 {
		w, h = h, w
	}
	rnd := scene.NewRand(s.photoSeed(j), 77)
	var p pose
	switch j.kind {
	case orchard.Floor:
		p = s.block.floorPose(j.tree, rnd, w, h)
	case orchard.Side:
		p = s.block.sidePose(j.tree, s.trees[j.tree], rnd, w, h)
	default:
		p = s.block.alleyPose(j.tree, rnd, w, h)
	}
	switch j.fault {
	case boardless:
		p.boards = nil
	case cardInstead:
		p = s.cardPose(j, rnd, w, h)
	}
	return p
}

// cardPose looks at the tree's card on the ground from near by.
func (s *shoot) cardPose(j job, rnd *scene.Rand, w, h int) pose {
	out := s.block.toAlley(j.tree)
	centre := s.block.trunk(j.tree).Add(out.Scale(1.3))
	azimuth := math.Atan2(-out.X, -out.Y) * 180 / math.Pi
	eye := centre.Add(out.Scale(0.02)).Add(scene.Vec3{Z: 0.32}) // straight on, as the card asks
	card := scene.FlatCard(treeCard(j.tree), centre, azimuth+rnd.Between(-5, 5))
	return pose{scene.Aim(eye, centre, rnd.Between(-2, 2), w, h), []scene.Board{card}}
}

// treeCard makes a tree's code (ISO/IEC 18004).
func treeCard(id orchard.TreeID) *scene.Card {
	m, err := qrcode.NewQRCodeWriter().Encode(orchard.CardText(id), gozxing.BarcodeFormat_QR_CODE, 0, 0,
		map[gozxing.EncodeHintType]interface{}{
			gozxing.EncodeHintType_ERROR_CORRECTION: decoder.ErrorCorrectionLevel_M, // as on the printed cards
			gozxing.EncodeHintType_MARGIN:           0,
		})
	if err != nil {
		panic(err) // the text is ours, under 30 letters
	}
	c := &scene.Card{Side: m.GetWidth()}
	for y := range c.Side {
		for x := range c.Side {
			c.Black = append(c.Black, m.Get(x, y))
		}
	}
	return c
}

// degrees is the place a phone would write down for a photo: its tree's.
func (s *shoot) degrees(j job) (lat, lon float64) {
	at := s.block.trunk(j.tree)
	lat = latitudeDeg + at.Y/metresPerDegree
	east := at.X / (metresPerDegree * math.Cos(latitudeDeg*math.Pi/180))
	return lat, longitudeDeg + s.block.firstDegEast + east
}

// writeTruth writes what the geometry says of a photo's subject.
func (s *shoot) writeTruth(j job, v *scene.View) error {
	const radiusM = 1.5
	var t scene.Truth
	tree := s.trees[j.tree]
	switch j.kind {
	case orchard.Floor:
		share, area := v.FloorTruth(radiusM)
		t.SunFraction, t.FloorAreaM2 = &share, &area
	case orchard.Side:
		h, b, w := tree.HeightM(), tree.CrownBaseM(), tree.WidthM()
		t.HeightM, t.CrownBaseM, t.WidthM = &h, &b, &w
	default:
		c := s.stand.ClearWidthM(s.block.alley(j.tree), s.block.directionDeg)
		t.ClearM = &c
	}
	sun := sunAt(j.taken)
	data, err := json.MarshalIndent(struct {
		Kind  orchard.Kind `json:"kind"`
		Time  string       `json:"time_local"`
		SunUp float64      `json:"sun_elevation_deg"`
		Truth scene.Truth  `json:"truth"`
	}{j.kind, j.taken.Format(time.RFC3339), sun.ElevationDeg, t}, "", " ")
	if err != nil {
		return fmt.Errorf("demoorchard: write truth of %q: %w", j.name, err)
	}
	stem := strings.TrimSuffix(path.Base(j.name), ".jpg")
	return s.writeOnce(path.Join("truth", j.visit, stem+".json"), append(data, '\n'))
}
