//go:build !linux

package cli

// stretch is of no use where large pages cannot be asked for.
const stretch = 0

func largePages(int) {}
