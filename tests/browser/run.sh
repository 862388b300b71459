#!/bin/sh
# run.sh PAGE_SERVER OUTPUT_FOLDER
# Runs the browser test; exit status 77 means that something it needs is not here, which ctest counts as skipped.
set -u
here=$(cd "$(dirname "$0")" && pwd)
server=$1
output=$2

for tool in node npm chromium; do
    if ! command -v "$tool" >/dev/null 2>&1; then
        echo "skipped: $tool is not installed" >&2
        exit 77
    fi
done
if [ "$(node -p 'process.versions.node.split(".")[0]')" -lt 18 ]; then
    echo "skipped: the browser driver wants Node.js 18 or newer" >&2
    exit 77
fi
made_from=$here/node_modules/.made-from
if ! cmp -s "$here/package-lock.json" "$made_from"; then
    if ! (cd "$here" && npm ci --ignore-scripts --no-audit --no-fund >&2); then
        echo "skipped: npm's registry gave no playwright-core and axe-core" >&2
        exit 77
    fi
    cp "$here/package-lock.json" "$made_from"
fi
exec node "$here/page_test.mjs" "$server" "$output"
