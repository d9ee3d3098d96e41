#!/bin/sh
# Runs the compiler so that its output names no folder of this machine. Panics and macros put the path of each source
# file into a program. The folders of this crate, of the other crates and of generated sources get short names.
compiler=$1
shift
exec "$compiler" "$@" \
  --remap-path-prefix="$PWD=." \
  --remap-path-prefix="${CARGO_HOME:-$HOME/.cargo}=cargo" \
  ${OUT_DIR:+"--remap-path-prefix=$OUT_DIR=generated"}
