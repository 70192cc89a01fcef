package vision

import "fmt"

// FileErrorKind tells a file that is damaged from one that is sound but not what
// can be measured.
type FileErrorKind int

const (
	// FileBroken is a file that is damaged, cut short, empty, or no picture.
	FileBroken FileErrorKind = iota + 1
	// FileUnsupported is a sound file of a kind or size that is not read.
	FileUnsupported
)

// FileError says why a photo file cannot be read and what to do about it. It
// does not name the file: its caller knows the path.
type FileError struct {
	Kind   FileErrorKind
	Reason string // "the file is cut short: ..."
	Mend   string // "copy it from the phone again"
	Err    error  // the cause where there is one, or nil
}

func (e *FileError) Error() string { return e.Reason + ": " + e.Mend }

// Unwrap returns the cause.
func (e *FileError) Unwrap() error { return e.Err }

const (
	mendCopy    = "copy it from the phone or camera again, or retake it"
	mendConvert = "set the phone's camera format to \"most compatible\"; this photo: export it as JPEG at full size, or heif-convert -q 95 PHOTO NEW.jpg"
	mendRaw     = "export it as JPEG from the camera's or your photo program, at full size and not cropped"
	mendExport  = "export the photo as JPEG (sRGB, 8 bit), at full size and not cropped"
)

func broken(format string, args ...any) *FileError {
	return &FileError{Kind: FileBroken, Reason: fmt.Sprintf(format, args...), Mend: mendCopy}
}

func unsupported(mend, format string, args ...any) *FileError {
	return &FileError{Kind: FileUnsupported, Reason: fmt.Sprintf(format, args...), Mend: mend}
}
