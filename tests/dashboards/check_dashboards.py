#!/usr/bin/env python3
"""Holds dashboards to a store, without a Grafana: what the SQLite plugin would do with every query is done
here, on a real store, read-only, and what comes back is looked at.

    check_dashboards.py --db FILE [--schemas FOLDER] [--may-be-empty TITLE]... [DASHBOARD.json ...]

Without dashboards: all in grafana-dashboards/, the provisioning files too. Prints every complaint; exit
code 1 when there is one. A range of time ends with the store's last reading, or at --to (RFC 3339).

What the plugin does to a query, as read in its sources (version 4.0): Grafana's front end replaces the variables
and $__from, $__to, $__interval_ms; the plugin itself knows one macro, $__unixEpochGroupSeconds(column,
literal). A column's type is that of its first value that is not NULL; a later REAL in a column of INTEGERs is
cut. Time columns are Unix seconds.
"""

import argparse
import json
import pathlib
import re
import sqlite3
import sys
import time
from datetime import datetime, timezone

HOUSE = pathlib.Path(__file__).resolve().parents[2]
DASHBOARDS = HOUSE / "grafana-dashboards"
PACKAGED_PATH = "/usr/share/gyled/grafana-dashboards"
PACKAGED_STORE = "/var/lib/gyled/gyled.db"

HOURS = {"6 h": 6, "14 d": 14 * 24, "90 d": 90 * 24}
POINTS_MAX = 1500
UNITS = {"none", "string", "short", "percent", "percentunit", "celsius", "fahrenheit", "pressurekpa", "litre", "volt",
         "dBm", "s", "m", "h", "d", "dtdurations", "dateTimeFromNow", "dateTimeAsLocal", "dateTimeAsIso", "bool_on_off"}
UNIT_FAMILIES = ("suffix:", "prefix:", "time:")
PANELS = {"timeseries", "stat", "state-timeline", "table", "gauge", "row"}
TREND_PANELS = {"timeseries", "state-timeline"}


# ---- what Grafana and the plugin make of a text

def expand(text, variables):
    """The SQL that reaches the database. Raises ValueError for what would not."""
    def replaced(match):
        name, form = match["braced"] or match["bare"], match["form"]
        if name not in variables:
            raise ValueError(f"unknown variable ${name}")
        value = variables[name]
        if form is None:
            return str(value)
        if form == "sqlstring":
            return "'" + str(value).replace("'", "''") + "'"
        if form == "raw":
            return str(value)
        raise ValueError(f"${{{name}:{form}}}: only sqlstring quotes as SQL reads it")

    def grouped(match):
        column, _, seconds = match[1].partition(",")
        seconds = seconds.partition(",")[0].strip()
        if not re.fullmatch(r"\d+", seconds):
            raise ValueError(f"$__unixEpochGroupSeconds wants a whole number of seconds, not {seconds!r}")
        return f"cast(({column.strip()} / {seconds}) as int) * {seconds}"

    macro = r"\$__unixEpochGroupSeconds\(([^)]*)\)"
    pattern = r"\$\{(?P<braced>\w+)(?::(?P<form>[\w:]+))?\}|\$(?!__unixEpochGroupSeconds)(?P<bare>\w+)"
    text = re.sub(pattern, replaced, text)
    text = re.sub(macro, grouped, text)
    if "$__unixEpochGroupSeconds" in text:
        raise ValueError("$__unixEpochGroupSeconds without its brackets")
    return text


def interval_ms(span_ms):
    """As Grafana rounds it for 1500 points and "interval": "1m", or wider."""
    steps = [60, 120, 300, 600, 900, 1200, 1800, 3600, 7200, 10800, 21600, 43200, 86400]
    exact = span_ms / POINTS_MAX / 1000
    return 1000 * next((step for step in steps if step >= exact), steps[-1])


class Store:
    """The store as the data source opens it."""

    def __init__(self, path):
        self.connection = sqlite3.connect(f"file:{pathlib.Path(path).resolve()}?mode=ro", uri=True)
        self.connection.execute("PRAGMA query_only = 1")

    def ask(self, sql):
        cursor = self.connection.execute(sql)
        return [column[0] for column in cursor.description], cursor.fetchall()

    def last_reading_ms(self):
        return self.ask("SELECT max(ts_ms) FROM dash_rollup")[1][0][0]


# ---- what is looked at

class Checker:
    def __init__(self, store, to_ms=None, schemas=None, may_be_empty=(), hours=None):
        self.store = store
        last = store.last_reading_ms()
        self.to_ms = to_ms if to_ms is not None else (last or 0) + 900_000
        self.schemas = schemas
        self.may_be_empty = set(may_be_empty)
        self.hours = hours or HOURS
        self.complaints = []
        self.asked = 0
        self.slowest = (0.0, "nothing")
        self.uids = {}

    def complain(self, where, what):
        complaint = f"{where}: {what}"
        if complaint not in self.complaints:
            self.complaints.append(complaint)

    def dashboard(self, name, board):
        if self.schemas:
            for where, what in self.schemas.problems(board):
                self.complain(f"{name}: {where}", what)
        self.identity(name, board)
        self.layout(name, board["panels"])
        scenes = list(self.scenes(name, board))
        for panel in board["panels"]:
            if panel["type"] != "row":
                self.panel(f"{name}: {panel.get('title')!r}", panel, scenes)
        for note in board["annotations"]["list"]:
            if not note.get("builtIn"):
                self.annotation(f"{name}: annotation {note['name']!r}", note, scenes)

    def identity(self, name, board):
        if board.get("id") is not None:
            self.complain(name, "has an id: another Grafana gives its own")
        if not re.fullmatch(r"[a-z0-9-]{3,40}", board.get("uid", "")):
            self.complain(name, "has no usable uid")
        if self.uids.setdefault(board.get("uid"), name) != name:
            self.complain(name, f"shares its uid with {self.uids[board.get('uid')]}")
        if board.get("schemaVersion") != 39:
            self.complain(name, "is not of the classic schema, version 39")
        numbers = [panel.get("id") for panel in board["panels"]]
        for number in {n for n in numbers if numbers.count(n) > 1}:
            self.complain(name, f"panel id {number} is used twice")

    def layout(self, name, panels):
        taken = {}
        for panel in panels:
            where = f"{name}: {panel.get('title')!r}"
            place = panel.get("gridPos")
            if not place:
                self.complain(where, "has no gridPos")
                continue
            if place["x"] < 0 or place["w"] < 1 or place["x"] + place["w"] > 24:
                self.complain(where, "does not fit into 24 columns")
            for x in range(place["x"], place["x"] + place["w"]):
                for y in range(place["y"], place["y"] + place["h"]):
                    if (other := taken.setdefault((x, y), where)) != where:
                        self.complain(where, f"overlaps {other}")

    def scenes(self, name, board):
        """The variables' values, for each range and each vessel that the dashboard offers."""
        for label, hours in self.hours.items():
            fixed = {"__from": self.to_ms - hours * 3_600_000, "__to": self.to_ms,
                     "__interval_ms": interval_ms(hours * 3_600_000), "DS": "gyled"}
            offered = [fixed]
            for variable in board["templating"]["list"]:
                if variable["type"] != "query":
                    continue
                values = self.variable(f"{name}: variable ${variable['name']}", variable, fixed)
                chosen = values if variable.get("hide", 0) == 0 else values[:1]
                offered = [{**scene, variable["name"]: value} for scene in offered for value in chosen]
            for scene in offered:
                yield label, scene

    def variable(self, where, variable, scene):
        columns, rows = self.run(where, variable["query"], scene)
        if not rows:
            self.complain(where, "offers nothing")
            return [""]
        if len(columns) == 1:
            return [row[0] for row in rows]
        if set(columns) != {"__text", "__value"}:
            self.complain(where, f"two columns must be __text and __value, not {columns}")
            return [""]
        return [row[columns.index("__value")] for row in rows]

    def panel(self, where, panel, scenes):
        if panel["type"] not in PANELS:
            self.complain(where, f"is of an unknown type {panel['type']!r}")
        if not panel.get("description"):
            self.complain(where, "says nothing about itself (description)")
        self.units(where, panel)
        columns, filled = set(), set()
        for target in panel["targets"]:
            self.source(where, target)
            spot = f"{where} {target['refId']}"
            for label, scene in scenes:
                found, rows = self.target(f"{spot} over {label}", target, scene, panel["type"] in TREND_PANELS)
                columns |= set(found)
                if any(value is not None for row in rows for value, name in zip(row, found)
                       if name not in target["timeColumns"]):
                    filled.add(target["refId"])
        for target in panel["targets"]:
            if target["refId"] not in filled and panel["title"] not in self.may_be_empty:
                self.complain(f"{where} {target['refId']}", "shows nothing for any vessel and range")
        self.overrides(where, panel, columns)

    def units(self, where, panel):
        field = panel["fieldConfig"]
        used = [field["defaults"].get("unit")]
        used += [p["value"] for o in field["overrides"] for p in o["properties"] if p["id"] == "unit"]
        for unit in used:
            if unit is not None and unit not in UNITS and not str(unit).startswith(UNIT_FAMILIES):
                self.complain(where, f"unit {unit!r} is not one that Grafana knows: it would print it")

    def source(self, where, target):
        if target.get("datasource", {}).get("type") != "frser-sqlite-datasource":
            self.complain(where, "does not ask the SQLite data source")
        if target["rawQueryText"] != target["queryText"]:
            self.complain(where, "rawQueryText and queryText differ")

    def target(self, where, target, scene, is_trend):
        columns, rows = self.run(where, target["rawQueryText"], scene)
        if len(rows) > (POINTS_MAX + 2 if is_trend else 2 * POINTS_MAX):
            self.complain(where, f"{len(rows)} rows: more than {POINTS_MAX} points")
        for name in target["timeColumns"]:
            if name not in columns:
                self.complain(where, f"time column {name!r} is not among {columns}")
        if is_trend and "time" not in target["timeColumns"]:
            self.complain(where, "a trend without a time column")
        for name, values in zip(columns, zip(*rows)):
            values = [value for value in values if value is not None]
            if name in target["timeColumns"]:
                self.moments(where, name, values, is_trend and name == "time")
            elif len(kinds := {type(value).__name__ for value in values}) > 1:
                self.complain(where, f"column {name!r} mixes {sorted(kinds)}: the plugin cuts what differs from the first")
        return columns, rows

    def moments(self, where, name, values, ascending):
        if any(not isinstance(value, (int, float)) or not 1e9 < value < 5e9 for value in values):
            self.complain(where, f"time column {name!r} is not in Unix seconds")
        elif ascending and values != sorted(values):
            self.complain(where, f"time column {name!r} does not ascend")

    def overrides(self, where, panel, columns):
        for override in panel["fieldConfig"]["overrides"]:
            named = override["matcher"]["options"]
            if override["matcher"]["id"] == "byName" and named not in columns:
                self.complain(where, f"an override names {named!r}, which is not among {sorted(columns)}")
            for change in override["properties"]:
                if change["id"] == "custom.fillBelowTo" and change["value"] not in columns:
                    self.complain(where, f"a band ends at {change['value']!r}, which is not among {sorted(columns)}")

    def annotation(self, where, note, scenes):
        target = note["target"]
        self.source(where, target)
        for label, scene in scenes:
            columns, _ = self.target(f"{where} over {label}", target, scene, False)
            for wanted in {"time", "title", "text"} - set(columns):
                self.complain(where, f"has no column {wanted!r}")

    def run(self, where, text, scene):
        try:
            sql = expand(text, scene)
            began = time.perf_counter()
            columns, rows = self.store.ask(sql)
            took = time.perf_counter() - began
        except (ValueError, sqlite3.Error) as problem:
            self.complain(where, str(problem))
            return [], []
        self.asked += 1
        self.slowest = max(self.slowest, (took, where))
        if len(set(columns)) < len(columns):
            self.complain(where, f"two columns of one name: {columns}")
        return columns, rows

    def provisioning(self, folder):
        """Plain lines are enough to find what must agree with the package and the data source."""
        source = (folder / "datasources" / "gyled.yaml").read_text()
        boards = (folder / "dashboards" / "gyled.yaml").read_text()
        for text, line, why in [
                (source, "type: frser-sqlite-datasource", "the data source's type"),
                (source, "uid: gyled", "the uid that the dashboards choose"),
                (source, f"path: {PACKAGED_STORE}", "where the package keeps the store"),
                (source, 'pathPrefix: "file:"', "without which the options are ignored"),
                (source, "mode=ro", "read-only"), (source, "query_only(1)", "read-only"),
                (boards, f"path: {PACKAGED_PATH}", "where the package puts the dashboards"),
                (boards, "type: file", "the kind of provider")]:
            if line not in re.sub(r"#.*", "", text):
                self.complain("provisioning", f"lacks {line!r}: {why}")


class Schemas:
    """JSON schemas made from Grafana's own types by make_schemas.sh."""

    OPTIONS = {"timeseries": "timeseries", "stat": "stat", "state-timeline": "statetimeline", "table": "table"}

    def __init__(self, folder):
        from jsonschema import Draft7Validator
        self.validators = {}
        for path in pathlib.Path(folder).glob("*.schema.json"):
            schema = json.loads(path.read_text())
            definitions = schema.get("definitions", {})
            # upstream types annotation targets for its built-in source only
            if "AnnotationTarget" in definitions:
                definitions["AnnotationTarget"] = {"type": "object"}
            if not path.name.startswith("dashboard."):
                for definition in definitions.values():  # every field has a default: files may leave it out
                    definition.pop("required", None)
            self.validators[path.name.removesuffix(".schema.json")] = Draft7Validator(schema)
        if "dashboard" not in self.validators:
            raise FileNotFoundError(f"no schemas in {folder}")

    def problems(self, board):
        yield from self.against("dashboard", board)
        for panel in board["panels"]:
            kind = self.OPTIONS.get(panel["type"])
            custom = panel["fieldConfig"]["defaults"].get("custom")
            if kind:
                yield from self.against(f"{kind}-options", panel["options"], panel["title"])
            if kind and custom is not None:
                yield from self.against(f"{kind}-custom", custom, panel["title"])
            for override in panel["fieldConfig"]["overrides"]:
                changed = {change["id"].removeprefix("custom."): change["value"] for change in override["properties"]
                           if change["id"].startswith("custom.")}
                yield from self.against(f"{kind}-custom", changed, f"{panel['title']} override")

    def against(self, name, value, title=""):
        if name in self.validators:
            for error in self.validators[name].iter_errors(value):
                yield f"{title} {name} {'/'.join(map(str, error.path))}".strip(), error.message[:200]


def main():
    parser = argparse.ArgumentParser(description="holds dashboards to a store")
    parser.add_argument("--db", required=True, help="the store")
    parser.add_argument("--to", help="where the ranges end, RFC 3339; else with the last reading")
    parser.add_argument("--schemas", help="folder made by make_schemas.sh")
    parser.add_argument("--may-be-empty", action="append", default=[], metavar="TITLE",
                        help="a panel that need not show anything with this store")
    parser.add_argument("dashboards", nargs="*", type=pathlib.Path)
    arguments = parser.parse_args()

    if arguments.schemas and not list(pathlib.Path(arguments.schemas).glob("dashboard.schema.json")):
        print(f"skipped: no schemas in {arguments.schemas}; make_schemas.sh makes them where npm is at hand")
        return 77
    to_ms = None
    if arguments.to:
        moment = datetime.fromisoformat(arguments.to.replace("Z", "+00:00"))
        to_ms = int(moment.replace(tzinfo=moment.tzinfo or timezone.utc).timestamp() * 1000)
    checker = Checker(Store(arguments.db), to_ms, Schemas(arguments.schemas) if arguments.schemas else None,
                      arguments.may_be_empty)
    files = arguments.dashboards or sorted(DASHBOARDS.glob("*.json"))
    for path in files:
        checker.dashboard(path.name, json.loads(path.read_text()))
    if not arguments.dashboards:
        checker.provisioning(DASHBOARDS / "provisioning")
    for complaint in checker.complaints:
        print(complaint)
    print(f"{len(files)} dashboards, {checker.asked} queries, slowest {checker.slowest[0] * 1000:.0f} ms "
          f"({checker.slowest[1]}), {len(checker.complaints)} complaints")
    return 1 if checker.complaints or not files or not checker.asked else 0


if __name__ == "__main__":
    sys.exit(main())
