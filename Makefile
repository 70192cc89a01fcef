# make demo   build, lay out the invented orchard, assess it, show the ranked list and a plan
# make test   build and test
# make check  vet, staticcheck, race detector, leak check: what CI adds to the tests
# make wide [WIDE=FOLDER] [SEED=1]   draw the wide-range photos with truth that accuracy can be run on
# make bench [BENCH_COUNTS="100 1000 5000"] [BENCH_WORKERS=2] [BENCH_STRICT=1]   speed against decoding alone and a plain Python script
# make accuracy [TRUTH=FOLDER] [OUT=FILE.csv] [README=README.md]   errors against photos with a known answer

GO      ?= go
DEMO    ?= demo
WIDE    ?= wide
SEED    ?= 1
BENCH   ?= bench
BENCH_COUNTS  ?= 100 300
BENCH_WORKERS ?= 2
# Scenes are drawn once; another seed is another bench.
BENCH_SCENES := -seed 167 -floor 6 -side 6 -alley 6 -long 4000
# How long a package may test: two cores shared by many made one take over 5 minutes.
PATIENCE ?= 30m
BIN     := bin/rowlight
VERSION := $(shell git describe --always --dirty 2>/dev/null || echo unknown)
LDFLAGS := -X main.version=$(VERSION)

# pkg-config names all of OpenCV, and windows and films with it: 250 libraries that take
# longer to load than a photo to measure. The program itself is linked with what it calls.
LEAN := -tags customenv
LEANENV = CGO_CFLAGS='-O2 -g -ffunction-sections -fdata-sections' \
  CGO_CXXFLAGS="-O2 -g -std=c++14 -ffunction-sections -fdata-sections $$(pkg-config --cflags opencv4)" \
  CGO_LDFLAGS='-Wl,--gc-sections'

.PHONY: all deps build test check demo accuracy wide bench clean

all: build

deps:
	@sh .ci/deps.sh

build: deps
	$(LEANENV) $(GO) build $(LEAN) -ldflags '$(LDFLAGS)' -o $(BIN) ./cmd/rowlight

test: deps
	$(GO) vet ./...
	$(GO) test -timeout $(PATIENCE) ./...

check: deps
	$(GO) tool staticcheck ./...
	$(GO) test -tags matprofile -run 'Leak' ./vision/... ./internal/pipeline/...
	$(GO) test -timeout $(PATIENCE) -race -short ./...

demo: build
	$(GO) run ./cmd/demoorchard -out $(DEMO)
	@for visit in $$(ls $(DEMO)/photos); do \
	  echo; echo "== visit $$visit"; \
	  $(BIN) assess --visit $$visit $(DEMO) || [ $$? -eq 3 ] || exit 1; \
	done
	@visit=$$(ls $(DEMO)/photos | head -1); echo; echo "== plan from visit $$visit"; \
	$(BIN) plan --visit $$visit $(DEMO) || [ $$? -eq 3 ]

accuracy: deps
	$(GO) run ./cmd/accuracy $(if $(TRUTH),-truth '$(TRUTH)') $(if $(OUT),-out '$(OUT)') $(if $(README),-readme '$(README)')

wide:
	$(GO) run ./cmd/wideset -out '$(WIDE)' -seed $(SEED) -pairs

bench: build
	$(GO) run ./cmd/wideset -out '$(BENCH)/scenes' $(BENCH_SCENES)
	$(GO) run ./cmd/bench -dir '$(BENCH)' -rowlight '$(BIN)' -counts '$(BENCH_COUNTS)' -workers '$(BENCH_WORKERS)' $(if $(BENCH_STRICT),-strict)

clean:
	rm -rf bin $(DEMO) $(WIDE) $(BENCH)
