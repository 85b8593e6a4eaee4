#!/usr/bin/env bash
# The demo's page in chromium (axe-core looks for what shuts readers out; poppler reads what it prints)
# and its model under the Khronos glTF validator. Installs what a Debian lacks: Node from 20 on, npm,
# chromium, poppler.
set -euo pipefail
cd "$(dirname "$0")"

as_root() { if [ "$(id -u)" -eq 0 ]; then "$@"; else sudo "$@"; fi; }
has() { command -v "$1" >/dev/null; }
node_serves() { has node && node -e 'process.exit(parseInt(process.versions.node) >= 20 ? 0 : 1)'; }

lacking=()
node_serves || lacking+=(nodejs)
has npm || lacking+=(npm)
has chromium || lacking+=(chromium)
has pdftotext || lacking+=(poppler-utils)
if [ ${#lacking[@]} -gt 0 ]; then
    as_root apt-get update
    as_root apt-get install -y --no-install-recommends "${lacking[@]}"
fi
npm ci --no-audit --no-fund --loglevel=error

made=$(mktemp -d)
trap 'rm -rf "$made"' EXIT
program() { (cd ../.. && cargo run --locked --quiet -- "$@"); }
program report data/demo/scan.ply --tape data/demo/tape.csv --garment data/demo/garment.toml \
    --out "$made/page.html"
program model data/demo/scan.ply --out "$made/body.glb"
# By the scan alone, and with one seam a level, so that small changes are steps already.
sed '/^\[seams\]/,/^\[hem\]/s/ = 2$/ = 1/' ../../data/demo/garment.toml >"$made/garment.toml"
program report data/demo/scan.ply --garment "$made/garment.toml" --out "$made/bare.html"
binary=$(cd ../.. && cargo metadata --locked --no-deps --format-version 1 |
    node -pe 'JSON.parse(require("fs").readFileSync(0)).target_directory')/debug/girthwise
CHROMIUM=$(command -v chromium) node check.mjs "$made" "$binary" ../../data/demo
