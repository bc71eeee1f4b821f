#!/usr/bin/env bash
# Builds the program, installs the peers that requirements.txt names into a folder of their own, and compares them.
# Wants python3 with venv, poppler-utils and mupdf-tools. Options go to compare.py: --rounds 101
set -euo pipefail
cd "$(dirname "$0")"
peers=../../target/peers
[[ -x $peers/bin/python ]] || python3 -m venv "$peers"
"$peers/bin/pip" install --quiet --requirement requirements.txt
cargo build --release --quiet
exec "$peers/bin/python" compare.py "$@"
