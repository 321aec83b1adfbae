#!/usr/bin/env bash
# Installs the Debian packages that are missing, with apt-get (through sudo when not root).
# usage: install_packages.sh build|test|bench|fuzz|package|browser|cluster   (each of the others includes build)
set -euo pipefail

packages=(cmake make g++ libboost-dev libboost-program-options-dev libboost-iostreams-dev libboost-filesystem-dev
  libeigen3-dev nlohmann-json3-dev libgnuplot-iostream-dev gnuplot-nox)
case "${1:-build}" in
  build) ;;
  test)
    packages+=(clang libclang-rt-14-dev llvm libgtest-dev libgmock-dev libgsl-dev clang-format parallel python3-numpy python3-scipy
      chromium chromium-driver python3-selenium poppler-utils fonts-dejavu-core
      dpkg-dev lcov lintian man-db mandoc bsdextrautils python3-openturns help2man scdoc)
    # Any npm will do.
    command -v npm >/dev/null || packages+=(npm)
    ;;
  bench) packages+=(libbenchmark-dev python3-numpy python3-scipy) ;;
  fuzz) packages+=(clang libclang-rt-14-dev valgrind) ;;
  # Compiles the module of the page that computes; the other headers are those of build.
  browser) packages+=(emscripten zopfli) ;;
  package) packages+=(dpkg-dev debootstrap help2man scdoc) ;;
  # Slurm for tests/cluster.sh.
  cluster) packages+=(slurmctld slurmd slurm-client munge) ;;
  *)
    echo "usage: $0 build|test|bench|fuzz|package|browser|cluster" >&2
    exit 2
    ;;
esac

if ! command -v apt-get >/dev/null || ! command -v dpkg-query >/dev/null; then
  {
    echo "This is not a Debian-like system. Please install, under your system's names for them:"
    echo "  CMake 3.25, make, a C++20 compiler, Boost 1.74 with Program_options, Iostreams and"
    echo "  Filesystem, Eigen 3.4, nlohmann-json 3.11, gnuplot-iostream and gnuplot; for tests"
    echo "  GoogleTest, GSL, clang, LLVM's llvm-cov, clang-format, GNU parallel, NumPy, SciPy, Chromium with its driver,"
    echo "  Selenium, poppler's tools, lcov, man, mandoc, col, help2man, scdoc and npm; for packages help2man and scdoc; for benchmarks Google Benchmark, NumPy"
    echo "  and SciPy; for fuzzing clang and valgrind. Then run the cmake commands of README.md."
  } >&2
  exit 1
fi

missing=()
for package in "${packages[@]}"; do
  status=$(dpkg-query -W -f='${Status}' "$package" 2>/dev/null || true)
  [ "$status" = "install ok installed" ] || missing+=("$package")
done
[ ${#missing[@]} -eq 0 ] && exit 0

root=()
if [ "$(id -u)" -ne 0 ]; then
  if ! command -v sudo >/dev/null; then
    echo "Please install as root: apt-get install ${missing[*]}" >&2
    exit 1
  fi
  root=(sudo)
fi
echo "Installing ${missing[*]}"
"${root[@]}" apt-get update -q
"${root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get install -y -q --no-install-recommends "${missing[@]}"
