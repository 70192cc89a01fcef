// Package crew has work done in processes of their own, so that a crash, a hang or a
// lack of memory in one piece of work ends that process and nothing else.
//
// A worker is this program started again with some hidden argument. It is asked by its
// standard input and answers on its standard output, one piece of work at a time, and
// ends when its input does: a parent that is killed leaves none behind.
package crew
