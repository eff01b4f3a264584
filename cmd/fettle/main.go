// The one binary: wiring only.
package main

import (
	"os"

	"fettle/data"
	"fettle/internal/edge/cli"
)

func main() {
	os.Exit(cli.Run(cli.World{Args: os.Args[1:], In: os.Stdin, Out: os.Stdout, Err: os.Stderr, Files: data.FS}))
}
