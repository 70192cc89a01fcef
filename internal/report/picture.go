package report

import (
	"bytes"
	"encoding/base64"
	"html/template"
	"image"
	"image/jpeg"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"sync"

	"golang.org/x/image/draw"
	"golang.org/x/sync/errgroup"
)

// picture is one that a page holds within itself.
type picture struct {
	uri               template.URL // data: of RFC 2397
	widthPx, heightPx int
}

// pictures are the overlays of a page that holds them.
type pictures struct {
	by        map[string]picture
	longestPx int // of those made smaller; 0: none was
}

// textShare of a page's bytes is left to words and numbers.
const textShare = 0.15

// readPictures reads overlays below dir, each made smaller where it is over its share of
// the page's bytes. What cannot be read is left out.
func readPictures(dir string, overlays []string, maxBytes int) *pictures {
	room := float64(maxBytes) * (1 - textShare) * 3 / 4 // base64 writes 4 bytes for 3
	each := int(room / float64(max(len(overlays), 1)))
	p := &pictures{by: map[string]picture{}}
	var mu sync.Mutex
	var g errgroup.Group
	g.SetLimit(runtime.GOMAXPROCS(0)) // it is all decoding and encoding
	for _, overlay := range overlays {
		g.Go(func() error {
			pic, smaller, ok := readPicture(dir, overlay, each)
			mu.Lock()
			defer mu.Unlock()
			if ok {
				p.by[overlay] = pic
			}
			if smaller {
				p.longestPx = max(p.longestPx, pic.widthPx, pic.heightPx)
			}
			return nil
		})
	}
	_ = g.Wait() // no picture's fault is the page's
	return p
}

// readPicture reads one overlay. A path that leads out of the folder is not followed.
func readPicture(dir, overlay string, most int) (pic picture, smaller, ok bool) {
	rel := filepath.FromSlash(overlay)
	if !filepath.IsLocal(rel) {
		return pic, false, false
	}
	data, err := os.ReadFile(filepath.Join(dir, rel))
	if err != nil {
		return pic, false, false
	}
	head, format, err := image.DecodeConfig(bytes.NewReader(data))
	if err != nil || head.Width*head.Height > mostOverlayPixels {
		return pic, false, false
	}
	pic.widthPx, pic.heightPx = head.Width, head.Height
	if len(data) > most {
		small, size, err := shrink(data, most)
		if err != nil {
			return pic, false, false
		}
		if smaller = size.X < head.Width; smaller {
			pic.widthPx, pic.heightPx = size.X, size.Y
			data, format = small, "jpeg"
		}
	}
	pic.uri = template.URL("data:image/" + format + ";base64," + base64.StdEncoding.EncodeToString(data))
	return pic, smaller, true
}

// mostOverlayPixels: ours have 1.2 million; what claims far more is no overlay, and is not
// decoded.
const mostOverlayPixels = 16 << 20

// shrinkSteps are the longer sides that a picture may be brought to. The least still shows
// the tree and what was drawn on it.
func shrinkSteps() []int { return []int{1024, 800, 640, 480, 360, 280} }

// shrinkQuality: as the overlays' own, thin lines fray below.
const shrinkQuality = 80

// shrink makes a picture smaller until it is within so many bytes, or at the last step.
func shrink(data []byte, most int) ([]byte, image.Point, error) {
	src, _, err := image.Decode(bytes.NewReader(data))
	if err != nil {
		return nil, image.Point{}, err
	}
	size := src.Bounds().Size()
	// Bytes go with the pixels, and a smaller picture takes more a pixel: what is too
	// large by that reckoning need not be tried.
	hopeless := float64(max(size.X, size.Y)) * math.Sqrt(float64(most)/float64(len(data)))
	out := data
	steps := shrinkSteps()
	for i, px := range steps {
		last := i == len(steps)-1
		if px >= max(size.X, size.Y) || !last && float64(px) > hopeless {
			continue
		}
		src = scaled(src, px)
		size = src.Bounds().Size()
		var b bytes.Buffer
		if err := jpeg.Encode(&b, src, &jpeg.Options{Quality: shrinkQuality}); err != nil {
			return nil, image.Point{}, err
		}
		if out = b.Bytes(); len(out) <= most {
			break
		}
	}
	return out, size, nil
}

// scaled brings a picture's longer side to px.
func scaled(src image.Image, px int) image.Image {
	size := src.Bounds().Size()
	k := float64(px) / float64(max(size.X, size.Y))
	dst := image.NewRGBA(image.Rect(0, 0, max(1, int(math.Round(k*float64(size.X)))), max(1, int(math.Round(k*float64(size.Y))))))
	draw.BiLinear.Scale(dst, dst.Rect, src, src.Bounds(), draw.Src, nil)
	return dst
}
