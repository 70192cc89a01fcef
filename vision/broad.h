// C face of what changes slowly over a picture: sums over cells of RL_CELL x RL_CELL
// pixels, and cells laid out over pixels again. Nothing here allocates or fails.
#ifndef ROWLIGHT_BROAD_H
#define ROWLIGHT_BROAD_H
#ifdef __cplusplus
extern "C" {
#endif

enum { RL_CELL = 8 };

// rl_cell_sums writes, for each cell of w x h pixels, how many of its pixels are marked
// and have a by under under, and the sum of ka a + kb b over them. rows takes 2 floats
// for each pixel of a row of whole cells.
void rl_cell_sums(const unsigned char *in, const float *by, float under, const float *a, float ka, const float *b, float kb,
                  int w, int h, float *counts, float *sums, float *rows);

// rl_spread_row lays cells (cellsW x cellsH) out over row y of the w pixels under them,
// straight from each cell's middle to the next, the outermost beyond their middles. out
// takes w + 2 RL_CELL numbers, line cellsW + 2.
void rl_spread_row(const float *cells, int cellsW, int cellsH, int y, int w, float *out, float *line);

// rl_less_broad writes v less what the cells say there; row is scratch of w + 3 RL_CELL +
// 2 + cellsW numbers.
void rl_less_broad(const float *v, const float *cells, int cellsW, int cellsH, int w, int h, float *out, float *row);

#ifdef __cplusplus
}
#endif
#endif
