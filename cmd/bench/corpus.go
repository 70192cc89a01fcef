package main

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"rowlight/internal/orchard"
)

// corpus is the pool of photos, each a file of its own with bytes of its own: a copy
// of the same bytes would be seen through as the same photo and left out of the order.
// An orchard folder holds hard links to the pool's first so many.
type corpus struct {
	dir   string
	files []string
	bytes int64
}

// lay writes so many photos into dir/pool, the kinds in turn.
func lay(dir string, by map[orchard.Kind][]drawn, count int) (*corpus, error) {
	c := &corpus{dir: dir}
	pool := filepath.Join(dir, "pool")
	if err := os.RemoveAll(pool); err != nil {
		return nil, err
	}
	if err := enoughRoom(dir, by, count); err != nil {
		return nil, err
	}
	if err := os.MkdirAll(pool, 0o755); err != nil {
		return nil, err
	}
	for i := range count {
		k := kinds()[i%len(kinds())]
		data, err := marked(by[k][i/len(kinds())%len(by[k])].data, i)
		if err != nil {
			return nil, err
		}
		name := filepath.Join(pool, fmt.Sprintf("%05d-%s.jpg", i, k))
		if err := os.WriteFile(name, data, 0o644); err != nil {
			return nil, err
		}
		c.files = append(c.files, name)
		c.bytes += int64(len(data))
	}
	return c, nil
}

// remove clears away all but the scenes.
func (c *corpus) remove() {
	for _, name := range []string{"pool", "orchard"} {
		os.RemoveAll(filepath.Join(c.dir, name)) // what stays behind does no harm
	}
}

// outputBytes a photo: overlays, records and report, of rowlight and of the script.
const outputBytes = 1 << 20

// enoughRoom refuses a corpus that the disk does not hold.
func enoughRoom(dir string, by map[orchard.Kind][]drawn, count int) error {
	var each int64
	for _, k := range kinds() {
		for _, d := range by[k] {
			each += int64(len(d.data)) / int64(len(by[k])*len(kinds()))
		}
	}
	need := int64(count) * (each + outputBytes)
	if free, ok := freeBytes(dir); ok && free < need {
		return fmt.Errorf("%d photos need %.1f GB in %s and %.1f GB are free: make room, or ask for fewer", count, gigabytes(need), dir, gigabytes(free))
	}
	return nil
}

func gigabytes(n int64) float64 { return float64(n) / 1e9 }

// marked is the JPEG with a comment (ITU-T T.81, marker COM) after its first segment,
// which is EXIF.
func marked(jpeg []byte, number int) ([]byte, error) {
	const soi, com = "\xff\xd8", "\xff\xfe"
	if len(jpeg) < 6 || string(jpeg[:2]) != soi || jpeg[2] != 0xff {
		return nil, fmt.Errorf("scene is no JPEG")
	}
	at := 4 + int(binary.BigEndian.Uint16(jpeg[4:6]))
	if at > len(jpeg) {
		return nil, fmt.Errorf("scene is a JPEG cut short")
	}
	text := fmt.Sprintf("bench %d", number)
	var b bytes.Buffer
	b.Write(jpeg[:at])
	b.WriteString(com)
	b.Write(binary.BigEndian.AppendUint16(nil, uint16(2+len(text))))
	b.WriteString(text)
	b.Write(jpeg[at:])
	return b.Bytes(), nil
}

// The orchard the photos are placed in: each tree has one photo of each kind, so that
// no stereo pair is formed, which would be other work.
const (
	visitName          = "2026-03-14"
	rows, treesPerRow  = 10, 20
	photosAtOneTree    = 3
	treesPerBlock      = rows * treesPerRow
	orchardFile        = "name = \"Bench\"\n\n[place]\nlatitude_deg = -27.5\nlongitude_deg = 152.25\ntime_zone = \"UTC\"\n\n[crop]\nname = \"avocado\"\n"
	orchardBlockFormat = "\n[[blocks]]\nkey = \"b%d\"\nname = \"Block %d\"\nrows = %d\ntrees_per_row = %d\nrow_spacing_m = 7.0\ntree_spacing_m = 5.0\nrow_direction_deg = 0\n"
)

// orchardOf makes a fresh orchard folder with the pool's first count photos.
func (c *corpus) orchardOf(count int) (string, error) {
	dir := filepath.Join(c.dir, "orchard")
	if err := os.RemoveAll(dir); err != nil {
		return "", err
	}
	photos := filepath.Join(dir, orchard.PhotosDir, visitName)
	if err := os.MkdirAll(photos, 0o755); err != nil {
		return "", err
	}
	blocks := (count + photosAtOneTree*treesPerBlock - 1) / (photosAtOneTree * treesPerBlock)
	var file strings.Builder
	file.WriteString(orchardFile)
	for b := range blocks {
		fmt.Fprintf(&file, orchardBlockFormat, b+1, b+1, rows, treesPerRow)
	}
	if err := os.WriteFile(filepath.Join(dir, orchard.FileName), []byte(file.String()), 0o644); err != nil {
		return "", err
	}
	for i, name := range c.files[:count] {
		if err := os.Link(name, filepath.Join(photos, photoName(i))); err != nil {
			return "", err
		}
	}
	return dir, nil
}

// photoName places photo i: three a tree, row by row, block by block.
func photoName(i int) string {
	tree := i / photosAtOneTree
	id := orchard.TreeID{Block: fmt.Sprintf("b%d", tree/treesPerBlock+1), Row: tree%treesPerBlock/treesPerRow + 1, Tree: tree%treesPerRow + 1}
	return fmt.Sprintf("%s-%s.jpg", id, kinds()[i%photosAtOneTree])
}
