// C face of counting values, and of looking them up. Nothing here allocates or fails.
#ifndef ROWLIGHT_TALLY_H
#define ROWLIGHT_TALLY_H
#include <stdint.h>
#ifdef __cplusplus
extern "C" {
#endif

enum { RL_TALLY_MOST = 4096 };

// rl_tally adds to counts (bins of them, RL_TALLY_MOST at most) how many of n values lie
// in each bin of 1/per from low, those beyond in the end bins: those marked, and of them
// those whose by lies between over and under. by may be null.
void rl_tally(const float *v, const unsigned char *in, const float *by, float over, float under, int n, float low,
              float per, int bins, uint32_t *counts);

// rl_look_up takes, for each of n values, the table's number at its step of 1/per from
// low: the first for what lies at low or under, the last for what lies beyond.
void rl_look_up(const float *v, int n, float low, float per, const float *table, int length, float *out);

// rl_mark marks in out, of n values, those marked that lie between over and under and
// whose by lies between byOver and byUnder, and returns how many. by may be v.
int rl_mark(const float *v, float over, float under, const float *by, float byOver, float byUnder,
            const unsigned char *in, int n, unsigned char *out);

#ifdef __cplusplus
}
#endif
#endif
