#!/bin/sh
# Makes JSON schemas of Grafana's dashboard and panels from its own published types, for
# check_dashboards.py --schemas. Needs npm and the network once; keeps everything in the folder given, outside the source.
# usage: make_schemas.sh [FOLDER]
set -eu
folder=${1:-${XDG_CACHE_HOME:-$HOME/.cache}/gyled/grafana-schemas}
mkdir -p "$folder/npm"
cd "$folder/npm"
npm install --no-audit --no-fund --silent @grafana/schema@13.2.3 ts-json-schema-generator@2 typescript@5
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
