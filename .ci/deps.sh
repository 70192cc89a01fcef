#!/bin/sh
# Installs what a build and its tests need beside Go, git and make, on Debian 12
# or Ubuntu 24.04: a C++ compiler, OpenCV 4.6 with its contrib modules, libjpeg, and the
# PDF renderer that the tests read our PDFs with. Does nothing where all is there.
set -eu

want="4.6"
packages="g++ pkg-config libopencv-dev libopencv-contrib-dev libjpeg-dev poppler-utils"

complete() {
  command -v g++ >/dev/null 2>&1 && command -v pdftoppm >/dev/null 2>&1 &&
    command -v pkg-config >/dev/null 2>&1 && pkg-config --exists opencv4 libjpeg &&
    [ -f "$(pkg-config --variable=includedir opencv4 2>/dev/null || echo /usr/include/opencv4)/opencv2/aruco.hpp" -o \
      -f /usr/include/opencv4/opencv2/aruco.hpp ]
}

if ! command -v go >/dev/null 2>&1; then
  echo "rowlight: Go is not on the PATH: install Go 1.26 or newer (or any Go from 1.21, which fetches it), then run this again." >&2
  exit 1
fi

if ! complete; then
  if ! command -v apt-get >/dev/null 2>&1; then
    echo "rowlight: this machine has no apt-get: install a C++ compiler, pkg-config, libjpeg, poppler's pdftoppm and OpenCV $want with its contrib modules (aruco) by hand, so that 'pkg-config --modversion opencv4' prints $want, then run this again." >&2
    exit 1
  fi
  as_root=""
  if [ "$(id -u)" -ne 0 ]; then
    if ! command -v sudo >/dev/null 2>&1; then
      echo "rowlight: installing needs root and there is no sudo: as root, run: apt-get install $packages" >&2
      exit 1
    fi
    as_root="sudo"
  fi
  echo "rowlight: installing $packages"
  $as_root apt-get update -qq || echo "rowlight: apt-get update failed; trying with the lists that are here" >&2
  $as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends $packages >/dev/null || {
    echo "rowlight: apt-get could not install them (its own words stand above): check the network; on Ubuntu switch on 'universe', where they lie (sudo add-apt-repository universe); then run this again." >&2
    exit 1
  }
fi

have="$(pkg-config --modversion opencv4)"
case "$have" in
  "$want".*) ;;
  *)
    echo "rowlight: OpenCV $have is installed, but the Go binding used here matches $want: use Debian 12 or Ubuntu 24.04, whose packages are $want." >&2
    exit 1
    ;;
esac
