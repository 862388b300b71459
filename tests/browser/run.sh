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
if [ "$(node -p 'process.versions.node.split(".")[0]')" -lt 20 ]; then
    echo "skipped: the browser driver wants Node.js 20 or newer" >&2
    exit 77
fi
if [ ! -d "$here/node_modules/playwright-core" ] || [ ! -d "$here/node_modules/axe-core" ]; then
    if ! (cd "$here" && npm ci --ignore-scripts --no-audit --no-fund >&2); then
        echo "skipped: npm's registry gave no playwright-core and axe-core" >&2
        exit 77
    fi
fi
exec node "$here/page_test.mjs" "$server" "$output"
