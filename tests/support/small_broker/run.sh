#!/bin/sh
# run.sh OPTIONS: becomes the broker. Exit status 77 means that something it needs is not here.
set -u
here=$(cd "$(dirname "$0")" && pwd)
for tool in node npm; do
    if ! command -v "$tool" >/dev/null 2>&1; then
        echo "skipped: $tool is not installed" >&2
        exit 77
    fi
done
install_once() (
    flock 9 # two tests may begin at once
    cmp -s "$here/package-lock.json" "$here/node_modules/.made-from" && exit 0
    cd "$here" && npm ci --ignore-scripts --no-audit --no-fund >&2 || exit 1
    cp package-lock.json node_modules/.made-from
) 9<"$here"
if ! install_once; then
    echo "skipped: npm's registry gave no aedes" >&2
    exit 77
fi
exec node "$here/broker.cjs" "$1"
