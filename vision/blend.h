// C face of the mixture of shade, penumbra and sun in log light and two colours (package
// floorlight). Nothing here allocates or fails.
#ifndef ROWLIGHT_BLEND_H
#define ROWLIGHT_BLEND_H
#ifdef __cplusplus
extern "C" {
#endif

// RL_BLEND_PARTS: full shade, full sun, then penumbra. RL_BLEND_STEPS, as many pixels,
// are looked at together.
enum { RL_BLEND_PARTS = 10, RL_BLEND_STEPS = 8 };

// A mixture of normals with one spread. Each pixel has the ln of its green and, over that,
// the ln of its red and of its blue, all less the reference; the rows of whiten
// (t0; t1 t2; t3 t4 t5) make them three numbers whose squares add up to the power of 1/2
// that a part falls off by; the parts' middles are given in them. power is the binary
// logarithm of what stands before that. The first of each pair is for whole pixels, the second
// for those whose red is burnt out: there t1, t2, t4 and the second middles are not read.
typedef struct {
  float reference[3];
  float whiten[2][6];
  float middle[2][RL_BLEND_PARTS][3];
  float power[2][RL_BLEND_PARTS];
} rl_blend;

// Sums of rl_blend_sums: each part's share of the pixels; the ln of the likelihood; then for
// shade and for sun their share of the pixels, of the whole ones, and weighed by it light,
// blue, light squared, light times blue, blue squared; over whole pixels red, light times red,
// red squared, red times blue.
enum { RL_BLEND_LIGHT = 11, RL_BLEND_SUMS = RL_BLEND_PARTS + 1 + 2 * RL_BLEND_LIGHT };

// rl_blend_sums adds up n pixels, already less the reference; n is a multiple of
// RL_BLEND_STEPS, and fastest with the whole ones together. whole is 1 or 0. The likelihood is
// worked out where scored is not 0.
void rl_blend_sums(const rl_blend *m, const float *light, const float *red, const float *blue, const float *whole, int n,
                   int scored, double sums[RL_BLEND_SUMS]);

// rl_blend_fractions writes what the parts' fractions come to at each marked pixel: light is
// the ln of green made even, r, g, b are logarithms as seen. Elsewhere out is left alone. out may be
// light.
void rl_blend_fractions(const rl_blend *m, const float fraction[RL_BLEND_PARTS], const unsigned char *in,
                        const float *light, const float *r, const float *g, const float *b, float burnt, int n,
                        float *out);

// rl_blend_both adds up a and b over the marked pixels.
void rl_blend_both(const unsigned char *in, const float *a, const float *b, int n, double sums[2]);

// rl_blend_toward moves a by weight toward b at each marked pixel.
void rl_blend_toward(const unsigned char *in, const float *b, float weight, int n, float *a);

#ifdef __cplusplus
}
#endif
#endif
