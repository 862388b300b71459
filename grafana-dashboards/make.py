#!/usr/bin/env python3
"""Writes vessel.json. A panel's SQL stands in the file twice and every estimate needs the same four
overrides for its band; here each is said once. Run it after a change and commit both; a test sees to it
that they agree."""

import json
import pathlib

HERE = pathlib.Path(__file__).resolve().parent
SOURCE = {"type": "frser-sqlite-datasource", "uid": "${DS}"}

# Told apart by colour-blind eyes too (Okabe and Ito).
BLUE, ORANGE, GREEN, RED, PURPLE, GREY = "#0072B2", "#E69F00", "#009E73", "#D55E00", "#CC79A7", "#999999"

VESSEL = "vessel = ${vessel:sqlstring}"
RANGE = "ts_ms >= $__from AND ts_ms < $__to"
# What a single number shows is at most a day older than the end of the range: older is not "now".
LATEST = "ts_ms >= max($__from, $__to - 86400000) AND ts_ms < $__to ORDER BY ts_ms DESC LIMIT 1"


# ---- queries

def query(sql, ref="A", times=("time",)):
    sql = "\n".join(line.strip() for line in sql.strip().splitlines())
    return {"datasource": SOURCE, "refId": ref, "queryType": "table", "rawQueryText": sql, "queryText": sql,
            "timeColumns": list(times)}


def readings(quantity, column, ref="A"):
    """The mean of a bucket; beyond five minutes a bucket from the quarter-hourly roll-ups, which are kept for ever."""
    wide = "max($__interval_ms, 900000)"
    where = f"WHERE {VESSEL} AND quantity = '{quantity}' AND {RANGE}"
    return query(f"""
        SELECT ts_ms / $__interval_ms * $__interval_ms / 1000 AS time, avg(value) AS "{column}" FROM dash_reading
        {where} AND $__interval_ms < 300000 GROUP BY 1
        UNION ALL
        SELECT ts_ms / {wide} * {wide} / 1000, sum(n * value) / sum(n) FROM dash_rollup
        {where} AND $__interval_ms >= 300000 GROUP BY 1
        ORDER BY 1""", ref)


def estimate(quantity, column, ref="A", band=True, where=""):
    bounds = f', min(lo) AS "{column}, low", max(hi) AS "{column}, high"' if band else ""
    return query(f"""
        SELECT ts_ms / $__interval_ms * $__interval_ms / 1000 AS time, avg(value) AS "{column}"{bounds}
        FROM dash_estimate WHERE {VESSEL} AND quantity = '{quantity}' AND {RANGE}{where}
        GROUP BY 1 ORDER BY 1""", ref)


# What a wort would do behind a shut valve is tens of times what a vessel bears: drawn, it would hide all else.
NEAR_THE_LIMIT = f""" AND value <= 2 * coalesce((SELECT value FROM dash_limit WHERE {VESSEL}
        AND quantity = 'head_pressure' AND kind = 'lowest'), 1e9)"""


def limits(kinds, ref):
    """A level line from end to end for each kind of limit."""
    columns = ", ".join(f"""(SELECT value FROM dash_limit WHERE {VESSEL} AND quantity = 'head_pressure'
        AND kind = '{kind}') AS "{column}\"""" for kind, column in kinds.items())
    return query(f"""
        SELECT edge.column1 AS time, {columns}
        FROM (VALUES ($__from / 1000), ($__to / 1000)) AS edge ORDER BY 1""", ref)


def stage_band(low, high, name, ref):
    """The band that each stage asks for, as two points a stage."""
    return query(f"""
        SELECT max(ts_ms, $__from) / 1000 AS time, {low} AS "{name}, low", {high} AS "{name}, high"
        FROM dash_stage WHERE {VESSEL} AND ts_ms < $__to AND coalesce(ended_ms, $__to) > $__from
        UNION ALL
        SELECT min(coalesce(ended_ms, $__to), $__to) / 1000 - 1, {low}, {high}
        FROM dash_stage WHERE {VESSEL} AND ts_ms < $__to AND coalesce(ended_ms, $__to) > $__from
        ORDER BY 1""", ref)


# ---- panels

def override(column, **properties):
    return {"matcher": {"id": "byName", "options": column},
            "properties": [{"id": key.replace("__", "."), "value": value} for key, value in properties.items()]}


def colour(value):
    return {"mode": "fixed", "fixedColor": value}


HIDDEN_IN_LEGEND = {"legend": True, "tooltip": False, "viz": False}


def points(column):
    return override(column, color=colour(GREY), custom__drawStyle="points", custom__showPoints="always",
                    custom__pointSize=3)


def line(column, value, **more):
    return override(column, color=colour(value), **more)


def band(name, value, **more):
    """Fills between the columns "<name>, low" and "<name>, high" and keeps them out of the legend."""
    common = {"color": colour(value), "custom__lineWidth": 0, "custom__hideFrom": HIDDEN_IN_LEGEND, **more}
    return [override(f"{name}, low", **common),
            override(f"{name}, high", custom__fillBelowTo=f"{name}, low", custom__fillOpacity=18, **common)]


def level(column, value):
    """A limit: dashed, and drawn through however far its two points lie apart."""
    return line(column, value, custom__lineStyle={"fill": "dash", "dash": [10, 10]}, custom__lineWidth=1,
                custom__insertNulls=False, custom__lineInterpolation="stepAfter")


def panel(number, kind, title, place, targets, description, *, options, unit="none", decimals=None, custom=None,
          overrides=(), **defaults):
    x, y, w, h = place
    field = {"mappings": [], "thresholds": {"mode": "absolute", "steps": [{"color": "text", "value": None}]},
             "unit": unit, **defaults}
    if decimals is not None:
        field["decimals"] = decimals
    if custom is not None:
        field["custom"] = custom
    return {"id": number, "type": kind, "title": title, "description": description, "datasource": SOURCE,
            "gridPos": {"x": x, "y": y, "w": w, "h": h}, "interval": "1m", "maxDataPoints": 1500,
            "targets": targets, "fieldConfig": {"defaults": field, "overrides": list(overrides)},
            "options": options}


def stat(number, title, place, sql, description, *, fields="", text_mode="value", **more):
    options = {"reduceOptions": {"calcs": ["lastNotNull"], "fields": fields, "values": False}, "colorMode": "value",
               "graphMode": "none", "justifyMode": "auto", "orientation": "auto", "textMode": text_mode,
               "wideLayout": True, "showPercentChange": False, "percentChangeColorMode": "standard"}
    return panel(number, "stat", title, place, [query(sql, times=())], description, options=options, noValue="–",
                 **more)


def belief(number, title, place, quantity, digits, description):
    """An estimate in words: value (low to high)."""
    one = f"%.{digits}f"
    form = f"'{one} ({one} to {one})'"
    if digits == 4:  # a gravity: degrees Plato want fewer digits
        form = f"CASE unit WHEN '°P' THEN '%.1f (%.1f to %.1f)' ELSE {form} END"
    return stat(number, title, place, f"""
        SELECT printf({form}, value, lo, hi) AS belief FROM dash_estimate
        WHERE {VESSEL} AND quantity = '{quantity}' AND {LATEST}""", description, fields="/^belief$/")


TREND = {"legend": {"displayMode": "list", "placement": "bottom", "showLegend": True, "calcs": ["lastNotNull"]},
         "tooltip": {"mode": "multi", "sort": "none"}}
# A gap of six hours in the data is a gap in the line; with less, a range of months would be all gaps.
LINES = {"drawStyle": "line", "lineInterpolation": "linear", "lineWidth": 2, "fillOpacity": 0, "showPoints": "never",
         "spanNulls": False, "insertNulls": 21600000, "thresholdsStyle": {"mode": "off"}}


def trend(number, title, place, targets, description, **more):
    return panel(number, "timeseries", title, place, targets, description, options=TREND, custom=LINES, **more)


STAGE_COLOURS = {"strike": ORANGE, "mash": ORANGE, "mash_out": ORANGE, "sparge": ORANGE, "boil": RED, "chill": BLUE,
                 "ferment": GREEN, "rest": GREEN, "crash": BLUE, "carbonate": PURPLE, "condition": PURPLE,
                 "serve": GREY, "clean": GREY, "rinse": GREY, "sanitise": GREY, "purge": GREY, "tightness": GREY}

PANELS = [
    stat(1, "Temperature ($temperature_unit)", (0, 0, 4, 4), f"""
        SELECT value AS temperature FROM dash_reading WHERE {VESSEL} AND quantity = 'beer_temperature' AND {LATEST}""",
         "The last accepted reading of the beer's temperature, if it is at most a day old.", decimals=1),
    belief(2, "Gravity ($gravity_unit)", (4, 0, 4, 4), "gravity_now", 4,
           "What we believe the gravity to be now, with its 90 % interval: we are wrong one time in ten."),
    belief(3, "Apparent attenuation (%)", (8, 0, 4, 4), "apparent_attenuation", 1,
           "How much of the extract seems to have gone, with its 90 % interval."),
    belief(4, "CO2 (volumes)", (12, 0, 4, 4), "co2_volumes", 2,
           "How much gas is dissolved now, with its 90 % interval. 1 volume is 1.977 g/L."),
    stat(5, "Head pressure ($pressure_unit, gauge)", (16, 0, 4, 4), f"""
        SELECT value AS pressure FROM dash_reading WHERE {VESSEL} AND quantity = 'head_pressure' AND {LATEST}""",
         "The last accepted reading. gyled watches and advises; the relief valve protects. Never rely on a number here.",
         decimals=2),
    stat(6, "Last reading", (20, 0, 4, 4), f"""
        SELECT coalesce((SELECT max(ts_ms) FROM dash_reading WHERE {VESSEL} AND ts_ms >= $__to - 86400000
        AND ts_ms < $__to), (SELECT max(ts_ms) FROM dash_rollup WHERE {VESSEL} AND ts_ms < $__to)) AS age""",
         "How long ago any sensor of this vessel was heard: a frozen number is seen to be frozen.",
         unit="dateTimeFromNow"),

    stat(7, "Fermentation finishes", (0, 4, 8, 4), f"""
        SELECT value * 1000 AS expected, lo * 1000 AS earliest, hi * 1000 AS latest FROM dash_estimate
        WHERE {VESSEL} AND quantity = 'finish_time' AND {LATEST}""",
         "When the gravity will stand still, with its 90 % interval. No latest: no end is in sight.",
         unit="dateTimeAsLocal", fields="/.*/", text_mode="value_and_name"),
    belief(8, "Final gravity ($gravity_unit)", (8, 4, 4, 4), "final_gravity", 4,
           "Where the gravity will end, with its 90 % interval."),
    belief(9, "Alcohol (% by volume)", (12, 4, 4, 4), "alcohol_by_volume", 2,
           "From original and present gravity, with its 90 % interval."),
    belief(10, "Headroom ($pressure_unit)", (16, 4, 4, 4), "pressure_headroom", 2,
           "From the pressure now to the limit of the vessel's lowest rated part."),
    stat(11, "Stage", (20, 4, 4, 4), f"""
        SELECT name AS stage FROM dash_stage WHERE {VESSEL} AND ts_ms < $__to AND coalesce(ended_ms, $__to) >= $__to
        ORDER BY ts_ms DESC LIMIT 1""", "Where the batch stands.", fields="/^stage$/"),

    panel(12, "state-timeline", "Stages", (0, 8, 24, 4), [query(f"""
        SELECT max(ts_ms, $__from) / 1000 AS time, name AS stage FROM dash_stage
        WHERE {VESSEL} AND ts_ms < $__to AND coalesce(ended_ms, $__to) > $__from
        UNION ALL
        SELECT ended_ms / 1000, NULL FROM dash_batch WHERE {VESSEL} AND ended_ms >= $__from AND ended_ms < $__to
        ORDER BY 1""")], "The stages of the batch, as they were entered.",
          custom={"lineWidth": 0, "fillOpacity": 70}, unit="string",
          options={"mergeValues": True, "showValue": "auto", "alignValue": "left", "rowHeight": 0.9,
                   "legend": {"displayMode": "list", "placement": "bottom", "showLegend": False, "calcs": []},
                   "tooltip": {"mode": "single", "sort": "none"}},
          mappings=[{"type": "value", "options": {
              stage: {"index": index, "text": stage.replace("_", " "), "color": value}
              for index, (stage, value) in enumerate(STAGE_COLOURS.items())}}]),

    trend(13, "Gravity ($gravity_unit)", (0, 12, 24, 9),
          [readings("gravity", "reading"), estimate("gravity_now", "gravity", "B"),
           estimate("final_gravity", "final gravity", "C", band=False)],
          "Points: readings, the mean of each bucket. Line: what we believe. Band: its 90 % interval.", decimals=4,
          overrides=[points("reading"), line("gravity", BLUE), *band("gravity", BLUE),
                     line("final gravity", ORANGE, custom__lineWidth=1)]),
    trend(14, "Temperature ($temperature_unit)", (0, 21, 24, 9),
          [readings("beer_temperature", "beer"), readings("jacket_temperature", "jacket", "B"),
           readings("room_temperature", "room", "C"),
           stage_band("temperature_low", "temperature_high", "stage", "D")],
          "The mean of each bucket. Band: what the stage asks for; outside it the alarm watches.", decimals=1,
          overrides=[line("beer", BLUE), line("jacket", PURPLE, custom__lineWidth=1),
                     line("room", GREY, custom__lineWidth=1),
                     *band("stage", GREEN, custom__insertNulls=False, custom__lineInterpolation="stepAfter")]),
    trend(15, "Head pressure ($pressure_unit, gauge)", (0, 30, 12, 9),
          [readings("head_pressure", "pressure"), estimate("warm_pressure", "if cooling failed", "B", band=False, where=NEAR_THE_LIMIT),
           estimate("closed_pressure", "if closed now", "D", band=False, where=NEAR_THE_LIMIT),
           limits({"lowest": "limit", "vacuum": "vacuum limit"}, "C")],
          "Line: the mean of each bucket. If closed now: what the pressure would become, shut, once the sugar left has "
          "fermented. If cooling failed: the same at the warmest that the vessel can get. Both are drawn up to twice the "
          "limit. Limit: of the lowest rated part. gyled never replaces a relief valve.", decimals=2,
          overrides=[line("pressure", BLUE), line("if cooling failed", ORANGE, custom__lineWidth=1),
                     line("if closed now", PURPLE, custom__lineWidth=1),
                     level("limit", RED), level("vacuum limit", RED)]),
    trend(16, "CO2 (volumes)", (12, 30, 12, 9),
          [estimate("co2_volumes", "dissolved"), estimate("co2_equilibrium_volumes", "at rest", "B", band=False),
           query(f"""
               SELECT max(started_ms, $__from) / 1000 AS time, target_co2_volumes AS target FROM dash_batch
               WHERE {VESSEL} AND started_ms < $__to AND coalesce(ended_ms, $__to) > $__from
               UNION ALL
               SELECT min(coalesce(ended_ms, $__to), $__to) / 1000 - 1, target_co2_volumes FROM dash_batch
               WHERE {VESSEL} AND started_ms < $__to AND coalesce(ended_ms, $__to) > $__from
               ORDER BY 1""", "C")],
          "Line: what is dissolved now, with its 90 % interval. At rest: what would be dissolved if this temperature "
          "and pressure stayed.", unit="suffix:vol", decimals=2,
          overrides=[line("dissolved", BLUE), *band("dissolved", BLUE), line("at rest", ORANGE, custom__lineWidth=1),
                     level("target", GREEN)]),
    panel(17, "table", "Alarms", (0, 39, 24, 8), [query(f"""
        SELECT started_ms / 1000 AS time, ended_ms / 1000 AS ended, priority, state, summary, rule FROM dash_alarm
        WHERE {VESSEL} AND started_ms < $__to AND coalesce(ended_ms, $__to) >= $__from
        ORDER BY started_ms DESC LIMIT 200""", times=("time", "ended"))],
          "Every occurrence in this range, the newest first, at most 200. No end: it still stands.",
          unit="string", custom={"align": "auto", "cellOptions": {"type": "auto"}, "inspect": False},
          options={"showHeader": True, "cellHeight": "sm"},
          overrides=[override("time", unit="dateTimeAsLocal", custom__width=170),
                     override("ended", unit="dateTimeAsLocal", custom__width=170, noValue="stands"),
                     override("priority", custom__width=90), override("state", custom__width=120)]),
]


# ---- what stands around them

def annotation(name, value, sql):
    return {"name": name, "datasource": SOURCE, "enable": True, "hide": False, "iconColor": value,
            "target": query(sql, name, times=("time", "timeEnd"))}


ANNOTATIONS = [
    {"builtIn": 1, "name": "Annotations & Alerts", "type": "dashboard", "enable": True, "hide": True,
     "iconColor": "rgba(0, 211, 255, 1)", "datasource": {"type": "grafana", "uid": "-- Grafana --"}},
    annotation("Alarms", RED, f"""
        SELECT started_ms / 1000 AS time, coalesce(ended_ms, $__to) / 1000 AS "timeEnd", rule AS title, summary AS text,
        priority AS tags FROM dash_alarm
        WHERE {VESSEL} AND started_ms < $__to AND coalesce(ended_ms, $__to) >= $__from ORDER BY 1 LIMIT 200"""),
    annotation("Facts", BLUE, f"""
        SELECT ts_ms / 1000 AS time, ts_ms / 1000 AS "timeEnd", replace(fact, '_', ' ') AS title, evidence AS text,
        'fact' AS tags FROM dash_fact WHERE {VESSEL} AND {RANGE} AND revoked_ms IS NULL ORDER BY 1 LIMIT 200"""),
]


def unit_variable(name, quantity):
    return {"type": "query", "name": name, "datasource": SOURCE, "hide": 2, "refresh": 1, "sort": 0, "multi": False,
            "includeAll": False, "options": [], "regex": "", "skipUrlSync": True,
            "query": f"SELECT unit FROM dash_unit WHERE quantity = '{quantity}'"}


VARIABLES = [
    {"type": "datasource", "name": "DS", "label": "Data source", "query": "frser-sqlite-datasource",
     "current": {"text": "gyled", "value": "gyled"}, "refresh": 1, "hide": 2, "includeAll": False, "multi": False,
     "options": [], "regex": ""},
    {"type": "query", "name": "vessel", "label": "Vessel", "datasource": SOURCE, "hide": 0, "refresh": 2, "sort": 1,
     "multi": False, "includeAll": False, "options": [], "regex": "", "skipUrlSync": False,
     "query": "SELECT name AS __text, key AS __value FROM dash_vessel ORDER BY name"},
    unit_variable("temperature_unit", "beer_temperature"),
    unit_variable("pressure_unit", "head_pressure"),
    unit_variable("gravity_unit", "gravity"),
]

DASHBOARD = {
    "uid": "gyled-vessel", "title": "Vessel", "description": "One vessel, all that is known of it.",
    "tags": ["gyled"], "schemaVersion": 39, "version": 1, "editable": True, "timezone": "browser", "refresh": "1m",
    "graphTooltip": 1, "time": {"from": "now-14d", "to": "now"},
    "timepicker": {"refresh_intervals": ["30s", "1m", "5m", "15m"]}, "links": [],
    "annotations": {"list": ANNOTATIONS}, "templating": {"list": VARIABLES}, "panels": PANELS,
}


def text():
    return json.dumps(DASHBOARD, indent=2, ensure_ascii=False) + "\n"


if __name__ == "__main__":
    (HERE / "vessel.json").write_text(text(), encoding="utf-8")
