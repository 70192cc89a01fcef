#include "jpeg.h"

#include <csetjmp>
#include <cstdio>
#include <cstdlib>
#include <cstring>

#include <jpeglib.h>

#include "turn.h"

namespace {
struct Failure {
  jpeg_error_mgr base;  // first: libjpeg hands out a pointer to it
  std::jmp_buf back;
  char message[JMSG_LENGTH_MAX];
};

void onError(j_common_ptr info) {
  auto *f = reinterpret_cast<Failure *>(info->err);
  f->base.format_message(info, f->message);
  std::longjmp(f->back, 1);
}

void onWarning(j_common_ptr, int) {}  // a damaged scan is filled up; the caller looks for that
void onMessage(j_common_ptr) {}

int fail(const char *what, char *err, int errLen) {
  std::strncpy(err, what, errLen - 1);
  err[errLen - 1] = 0;
  return 1;
}
}  // namespace

// No object with a destructor may live in this frame or the next: errors come by longjmp.
namespace {
// readRows reads a started picture to its end, by stripes where it is to be turned.
bool readRows(jpeg_decompress_struct *info, unsigned char *rgb, int orientation, unsigned char *stripe) {
  const size_t line = static_cast<size_t>(3) * info->output_width;
  const int width = static_cast<int>(info->output_width), height = static_cast<int>(info->output_height);
  for (int y = 0, held = 0; y < height; y++) {
    JSAMPROW row = stripe ? stripe + held * line : rgb + y * line;
    if (jpeg_read_scanlines(info, &row, 1) != 1) return false;
    if (stripe && (++held == rl_stripe_rows || y + 1 == height)) {
      rl_turn(stripe, y + 1 - held, held, width, height, orientation, rgb);
      held = 0;
    }
  }
  return true;
}

int decode(const unsigned char *data, size_t bytes, unsigned char *rgb, int width, int height, int orientation,
           unsigned char *stripe, char *err, int errLen) {
  jpeg_decompress_struct info;
  Failure failure;
  info.err = jpeg_std_error(&failure.base);
  failure.base.error_exit = onError;
  failure.base.emit_message = onWarning;
  failure.base.output_message = onMessage;
  if (setjmp(failure.back)) {
    jpeg_destroy_decompress(&info);
    return fail(failure.message, err, errLen);
  }
  jpeg_create_decompress(&info);
  jpeg_mem_src(&info, const_cast<unsigned char *>(data), bytes);
  jpeg_read_header(&info, TRUE);
  info.out_color_space = JCS_RGB;
  // Before starting, which makes room for the picture and, of a progressive one,
  // reads it to its end.
  if (static_cast<int>(info.image_width) != width || static_cast<int>(info.image_height) != height) {
    jpeg_destroy_decompress(&info);
    return fail("the picture is not of the size that its header declares", err, errLen);
  }
  jpeg_start_decompress(&info);
  if (static_cast<int>(info.output_width) != width || info.output_components != 3) {
    jpeg_destroy_decompress(&info);
    return fail("the picture does not decode to its size in three colours", err, errLen);
  }
  if (!readRows(&info, rgb, orientation, stripe)) {
    jpeg_destroy_decompress(&info);
    return fail("the picture's data ends early", err, errLen);
  }
  jpeg_finish_decompress(&info);
  jpeg_destroy_decompress(&info);
  return 0;
}
}  // namespace

int rl_decode_jpeg(const unsigned char *data, size_t bytes, unsigned char *rgb, int width, int height, int orientation,
                   char *err, int errLen) {
  unsigned char *stripe = nullptr;
  if (orientation != 1) {
    stripe = static_cast<unsigned char *>(std::malloc(rl_stripe_bytes(width)));
    if (!stripe) return fail("out of memory", err, errLen);
  }
  const int code = decode(data, bytes, rgb, width, height, orientation, stripe, err, errLen);
  std::free(stripe);
  return code;
}

// As above: no object with a destructor.
int rl_encode_jpeg(const unsigned char *rgba, int width, int height, int quality, unsigned char **out, size_t *bytes,
                   char *err, int errLen) {
  jpeg_compress_struct info;
  Failure failure;
  unsigned char *held = nullptr;
  unsigned long size = 0;
  *out = nullptr;
  info.err = jpeg_std_error(&failure.base);
  failure.base.error_exit = onError;
  failure.base.output_message = onMessage;
  if (setjmp(failure.back)) {
    jpeg_destroy_compress(&info);
    return fail(failure.message, err, errLen);
  }
  jpeg_create_compress(&info);
  jpeg_mem_dest(&info, &held, &size);
  info.image_width = width;
  info.image_height = height;
  info.input_components = 4;
  info.in_color_space = JCS_EXT_RGBX;
  jpeg_set_defaults(&info);
  jpeg_set_quality(&info, quality, TRUE);
  jpeg_start_compress(&info, TRUE);
  while (info.next_scanline < info.image_height) {
    JSAMPROW row = const_cast<unsigned char *>(rgba) + static_cast<size_t>(info.next_scanline) * width * 4;
    jpeg_write_scanlines(&info, &row, 1);
  }
  jpeg_finish_compress(&info);
  jpeg_destroy_compress(&info);
  *out = held;
  *bytes = size;
  return 0;
}

void rl_free(void *p) { std::free(p); }
