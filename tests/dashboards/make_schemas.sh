#!/bin/sh
# make_schemas.sh FOLDER: makes JSON schemas of Grafana's dashboard and panels from its own published types, for
# check_dashboards.py --schemas. What is pinned stands in schemas/package.json. Needs npm and the network once; keeps everything in
# FOLDER. Exit status 77: npm or its registry is not there, which ctest counts as skipped.
set -eu
here=$(cd "$(dirname "$0")" && pwd)/schemas
mkdir -p "$1"
folder=$(cd "$1" && pwd)
if cmp -s "$here/package-lock.json" "$folder/made-from"; then exit 0; fi
if ! command -v npm >/dev/null 2>&1; then
    echo "skipped: npm is not installed" >&2
    exit 77
fi
mkdir -p "$folder/npm"
cp "$here/package.json" "$here/package-lock.json" "$folder/npm/"
cd "$folder/npm"
if ! npm ci --ignore-scripts --no-audit --no-fund --silent >&2; then
    echo "skipped: npm's registry gave no @grafana/schema" >&2
    exit 77
fi
types=node_modules/@grafana/schema/dist/types/raw

schema() {  # schema FILE-BELOW-TYPES TYPE NAME
    npx --no-install ts-json-schema-generator --no-type-check --path "$types/$1/x/types.gen.d.ts" --type "$2" \
        --out "$folder/$3.schema.json"
}
schema dashboard Dashboard dashboard
for panel in timeseries stat statetimeline table; do
    schema "composable/$panel/panelcfg" Options "$panel-options"
done
for panel in timeseries statetimeline table; do
    schema "composable/$panel/panelcfg" FieldConfig "$panel-custom" || echo "no schema for the fields of $panel" >&2
done
ls "$folder"
cp "$here/package-lock.json" "$folder/made-from"
