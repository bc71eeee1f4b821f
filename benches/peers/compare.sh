#!/usr/bin/env bash
# Builds the program, installs the peers into a folder of their own, and compares them: the libraries that requirements.txt
# names, and a markup compiler as its own binary, which takes some minutes to build the first time.
# Wants python3 with venv, poppler-utils and mupdf-tools. Options go to compare.py: --rounds 101
set -euo pipefail
cd "$(dirname "$0")"
peers=$PWD/../../target/peers
compiler=0.15.1
[[ -x $peers/bin/python ]] || python3 -m venv "$peers"
"$peers/bin/pip" install --quiet --requirement requirements.txt
[[ $("$peers/typst/bin/typst" --version 2>&1) == *" $compiler"* ]] ||
  cargo install typst-cli --quiet --locked --version "$compiler" --root "$peers/typst"
cargo build --release --quiet
exec "$peers/bin/python" compare.py --compiler "$peers/typst/bin/typst" "$@"
