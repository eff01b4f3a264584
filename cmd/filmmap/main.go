// Command filmmap works out the map of mobilities that internal/physics/film
// looks up, from that room's own solution of the Reynolds equation:
//
//	go generate ./internal/physics/film
//
// It takes one argument, the file to write, and prints the digest of the map.
package main

import (
	"fmt"
	"os"
	"runtime"

	"fettle/internal/physics/film"
)

func main() {
	if err := run(os.Args[1:]); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func run(args []string) error {
	if len(args) != 1 {
		return fmt.Errorf("filmmap: one argument, the file to write; found %d", len(args))
	}
	m, err := film.MakeMap(runtime.NumCPU())
	if err != nil {
		return err
	}
	b := m.Bytes()
	fmt.Printf("%d bytes, sha256 %s\n", len(b), m.Digest())
	return os.WriteFile(args[0], b, 0o644)
}
