package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"os"
	"path/filepath"

	"rowlight/internal/scene"
)

func writeTruth(dir, stem string, truth map[string]any) error {
	data, err := json.MarshalIndent(truth, "", " ")
	if err != nil {
		return fmt.Errorf("write truth of %s: %w", stem, err)
	}
	return write(dir, stem+".json", append(data, '\n'))
}

// writeClasses writes what each pixel shows, upright.
func writeClasses(dir, stem string, classes []scene.Class, width int) error {
	img := image.NewGray(image.Rect(0, 0, width, len(classes)/width))
	for i, c := range classes {
		img.SetGray(i%width, i/width, color.Gray{Y: c})
	}
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		return err
	}
	return write(dir, stem+"_class.png", b.Bytes())
}

func write(dir, name string, data []byte) error {
	return os.WriteFile(filepath.Join(dir, name), data, 0o644)
}
