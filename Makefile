# The whole of fettle: make demo to see it, make check to trust it.
# Each target is one script or one command, so that it can be run alone.

# Packages whose tests run a second time under the race detector. Those that
# do not exist yet are passed over.
RACE  ?= ./internal/edge/bench/... ./internal/edge/store/... ./internal/edge/web/...
# What make test and make bench look at: make test PKG=./internal/judge/...
PKG   ?= ./...
BENCH ?= .

SHELL := /bin/bash
.DEFAULT_GOAL := help
.PHONY: help demo build check test bench bench-peers pictures fmt

help: ## this list
	@sed -n 's/^\([a-z-]*\):.*## /  make \1\t/p' Makefile | expand -t 20

demo: build ## build fettle and open the demo workshop; it prints its address
	@exec bin/fettle demo

build: ## build bin/fettle
	@. scripts/env.sh && go build -o bin/fettle ./cmd/fettle

check: ## everything that must hold: format, vet, staticcheck, tests, race, browser
	@RACE='$(RACE)' scripts/check.sh

test: ## the tests only: make test PKG=./internal/show/...
	@. scripts/env.sh && go test $(PKG)

bench: ## the benchmarks: make bench PKG=./internal/edge/... BENCH=Page
	@. scripts/env.sh && go test -run '^$$' -bench '$(BENCH)' -benchmem $(PKG)
	@scripts/bench-evaluate.sh

bench-peers: ## the same work beside numpy and scipy, same run; one subject: make bench-peers PEERS=draws
	@scripts/bench-peers.sh $(PEERS)

pictures: ## the pictures of the bench page in doc/pictures, taken anew
	@scripts/pictures.sh

fmt: ## put every Go file in the one format
	@scripts/format.sh -w
