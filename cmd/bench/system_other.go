//go:build !linux

package main

// Elsewhere than on Linux only the first process's own peak is known.

func treeMiB(int) float64 { return 0 }

func freeBytes(string) (int64, bool) { return 0, false }

func machine() (processor string, load float64) { return "", 0 }
