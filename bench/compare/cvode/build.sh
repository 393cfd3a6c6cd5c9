#!/usr/bin/env bash
# usage: build.sh OUTPUT. Needs a C compiler and SUNDIALS 6 (Debian and Ubuntu: libsundials-dev).
set -euo pipefail
out=$(realpath -m -- "$1")
cd "$(dirname "$(readlink -f "${BASH_SOURCE[0]}")")"
exec "${CC:-cc}" -std=c11 -D_POSIX_C_SOURCE=200809L -Wall -Wextra -O3 -march=native -fno-math-errno \
    -o "$out" bed_cvode.c case.c cell.c dynamic.c march.c vectors.c \
    -lsundials_cvode -lsundials_nvecserial -lsundials_sunmatrixband -lsundials_sunlinsolband \
    -lsundials_sunlinsolspgmr -lm
