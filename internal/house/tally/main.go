// Command tally reads the JSON stream of go test and prints one line a package,
// the whole output of each test that failed, and each skipped test with its
// reason. It exits 1 when something failed or nothing ran.
//
//	go test -json ./... | tally -counts FILE
//
// FILE receives "passed failed skipped" as three numbers.
package main

import (
	"flag"
	"fmt"
	"os"
)

func main() {
	file := flag.String("counts", "", "write the three counts to this file")
	flag.Parse()
	t, err := Read(os.Stdin, os.Stdout)
	if err != nil {
		fmt.Fprintln(os.Stderr, "tally:", err)
		os.Exit(1)
	}
	if *file != "" {
		line := fmt.Sprintf("%d %d %d\n", t.Passed, t.Failed, t.Skipped)
		if err := os.WriteFile(*file, []byte(line), 0o644); err != nil {
			fmt.Fprintln(os.Stderr, "tally:", err)
			os.Exit(1)
		}
	}
	if t.Failed > 0 || t.Passed == 0 {
		os.Exit(1)
	}
}
