// C face of the sums over sights and looks (wallsums.go, where the fields are told of).
// Nothing here allocates or fails.
#ifndef ROWLIGHT_WALLSUMS_H
#define ROWLIGHT_WALLSUMS_H
#include <stdint.h>
#ifdef __cplusplus
extern "C" {
#endif

enum {
  rl_cross_steps = 7,
  rl_sun_steps = 7,
  rl_side_cells = 97,  // the last for rounding
  rl_alley_unknowns = 12,
  rl_sight_block = 64,
  rl_tree_places = 9
};

typedef struct {
  float at, rise, form, formRise;
} rl_side_cell;

typedef struct {
  float yaw, cameraM, leastRight, cellAt, cellsPerHalf, perTree, treeLengths, perLength, perHalf, perM;
  float baseByBase, topByBase, topByTop, fog;
  rl_side_cell side[rl_side_cells];
} rl_crown;

typedef struct {
  float side, lineM, firstTrees, stepM, lineMoves;
  float outM[rl_cross_steps], outSteps[rl_cross_steps], plan[rl_cross_steps];
  float share[rl_cross_steps], lineShare[rl_cross_steps], depthShare[rl_cross_steps];
} rl_crossing;

typedef struct {
  float side, lineM, firstM, lineMoves;
} rl_sun_row;

typedef struct {
  float across, trees, side, sideByBase, sideByTop, form, steps;
  int32_t high;
} rl_sun_layer;

typedef struct {
  float yaw, perDepth, perTree, treeLengths, perLength, perM, fog, reach, perEdge;
  float left, right, lengthM, sunX, sunY, lowM, stepM;
  float lowBase, lowTop, stepBase, stepTop, perBase, perTop, perX, perY;
  rl_sun_row row[2];
  rl_sun_layer layer[rl_sun_steps];
} rl_sun;

typedef struct {
  int32_t number, first, count;
  float perDepth, plan[rl_cross_steps][rl_tree_places];
} rl_tree;

// A chance is part x 2^twos, 1 x 2^0 to begin with.
typedef struct {
  double part;
  int64_t twos;
} rl_chance;

// The sums: information (upper half), gradient, and the chance of all that was seen.
typedef struct {
  double info[rl_alley_unknowns][rl_alley_unknowns], grad[rl_alley_unknowns];
  rl_chance seen;
} rl_sums;

// Arrays of sights and looks are padded to whole blocks of rl_sight_block.

// rl_sight_sums adds what the sights from lo up to hi, which all look at one row, say.
void rl_sight_sums(const rl_crown *c, const rl_crossing *row, const float *right, const float *up, const int32_t *blocked, int lo,
                   int hi, rl_sums *out);

// rl_tree_chances multiplies the chances of what the same sights show, for each place that a
// tree may stand at, into seen; offM are tree.count trees' offsets, from number tree.first on.
void rl_tree_chances(const rl_crown *c, const rl_crossing *row, const rl_tree *tree, const float *offM, const float *right, const float *up,
                     const int32_t *blocked, int lo, int hi, rl_chance *seen);

// rl_look_sums is rl_sight_sums for looks at the floor, toward the sun.
void rl_look_sums(const rl_sun *s, const float *right, const float *ahead, const int32_t *blocked, int n, rl_sums *out);

// rl_look_chance is rl_look_sums for the chance alone.
void rl_look_chance(const rl_sun *s, const float *right, const float *ahead, const int32_t *blocked, int n, rl_sums *out);

// rl_leaf_sums adds up, for each of count places, the density of leaves at so many distances
// squared from crowns' middles: square + rest, of which there are n, a multiple of 8.
void rl_leaf_sums(const float *square, int count, const float *rest, int n, double *sum);

#ifdef __cplusplus
}
#endif
#endif
