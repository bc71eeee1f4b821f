#!/usr/bin/env bash
# Draws the pictures in the README anew: cards of the built-in example, and what commands say on a terminal. Run it after any change to
# either.
set -euo pipefail
cd "$(dirname "$0")/.."
pictures=(j1-upwind strip-backstay strip-jib_lead-port strip-jib_lead-starboard)

scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
only=()
for picture in "${pictures[@]}"; do only+=(--only "$picture"); done
cargo run --quiet --release -- build --example --out "$scratch" --png "${only[@]}" >/dev/null
mkdir -p examples/pictures
for picture in "${pictures[@]}"; do cp "$scratch/png/$picture.png" examples/pictures/; done
DRAW_TERMINAL_PICTURES=1 cargo test --quiet --test commands terminal_pictures >/dev/null
ls -l examples/pictures
