#!/usr/bin/env python3
"""The checker must catch what it is there for: each fault is planted into the real dashboard, alone, and has
to be complained about in words that name it. usage: planted_faults.py STORE [SCHEMAS]"""

import copy
import json
import pathlib
import sys
import unittest

from check_dashboards import DASHBOARDS, Checker, Schemas, Store, expand, interval_ms

STORE = SCHEMAS = None
BOARD = json.loads((DASHBOARDS / "vessel.json").read_text())


def complaints_of(board):
    checker = Checker(Store(STORE), hours={"14 d": 14 * 24})  # one range is enough to tell
    checker.dashboard("vessel.json", board)
    return checker.complaints


def panel(board, title):
    return next(p for p in board["panels"] if p["title"].startswith(title))


def rewrite(target, before, after):
    """Changes both texts of a query, as the editor would."""
    assert before in target["rawQueryText"], f"{before!r} is not in the query any more"
    target["rawQueryText"] = target["queryText"] = target["rawQueryText"].replace(before, after)


class PlantedFaults(unittest.TestCase):
    def setUp(self):
        self.board = copy.deepcopy(BOARD)
        self.gravity = panel(self.board, "Gravity (")
        self.trend = next(p for p in self.board["panels"] if p["type"] == "timeseries")

    def expect(self, *words):
        found = complaints_of(self.board)
        self.assertTrue(any(all(word in complaint for word in words) for complaint in found),
                        f"no complaint with {words} among:\n" + "\n".join(found))

    def test_without_a_fault_there_is_no_complaint(self):
        self.assertEqual(complaints_of(self.board), [])

    def test_unit_that_grafana_does_not_know(self):
        self.trend["fieldConfig"]["defaults"]["unit"] = "degC"
        self.expect("unit 'degC'")

    def test_unit_in_an_override_that_grafana_does_not_know(self):
        self.trend["fieldConfig"]["overrides"][0]["properties"].append({"id": "unit", "value": "volumes"})
        self.expect("unit 'volumes'")

    def test_override_of_a_misspelt_column(self):
        self.trend["fieldConfig"]["overrides"][0]["matcher"]["options"] = "readings"
        self.expect("names 'readings'")

    def test_band_that_ends_nowhere(self):
        for override in self.trend["fieldConfig"]["overrides"]:
            for change in override["properties"]:
                if change["id"] == "custom.fillBelowTo":
                    change["value"] = "lower"
        self.expect("band ends at 'lower'")

    def test_column_that_the_view_does_not_have(self):
        rewrite(self.trend["targets"][1], "min(lo)", "min(lower)")
        self.expect("no such column")

    def test_view_that_does_not_exist(self):
        rewrite(self.trend["targets"][1], "dash_estimate", "dash_estimates")
        self.expect("no such table")

    def test_quantity_that_does_not_exist(self):
        rewrite(self.trend["targets"][1], "'gravity_now'", "'gravity_today'")
        self.expect("shows nothing")

    def test_milliseconds_for_seconds(self):
        rewrite(self.trend["targets"][1], "* $__interval_ms / 1000 AS time", "* $__interval_ms AS time")
        self.expect("not in Unix seconds")

    def test_time_that_falls(self):
        rewrite(self.trend["targets"][1], "ORDER BY 1", "ORDER BY 1 DESC")
        self.expect("does not ascend")

    def test_time_column_of_another_name(self):
        rewrite(self.trend["targets"][1], "AS time", "AS moment")
        self.expect("time column 'time' is not among")

    def test_column_of_two_types(self):
        rewrite(self.trend["targets"][1], "avg(value)", "CASE WHEN avg(value) > 1.02 THEN avg(value) ELSE 0 END")
        self.expect("mixes ['float', 'int']")

    def test_unknown_variable(self):
        rewrite(self.trend["targets"][1], "${vessel:", "${tank:")
        self.expect("unknown variable $tank")

    def test_quoting_that_sql_does_not_read(self):
        rewrite(self.trend["targets"][1], "${vessel:sqlstring}", "${vessel:singlequote}")
        self.expect("only sqlstring")

    def test_name_that_is_not_quoted_at_all(self):
        rewrite(self.trend["targets"][1], "${vessel:sqlstring}", "'$vessel'")
        self.expect("syntax error")  # a vessel of the store has an apostrophe in its name

    def test_macro_without_a_literal(self):
        rewrite(self.trend["targets"][1], "ts_ms / $__interval_ms * $__interval_ms / 1000 AS time",
                "$__unixEpochGroupSeconds(ts_ms, $__interval) AS time")
        self.expect("unknown variable $__interval")

    def test_macro_with_a_sum(self):
        rewrite(self.trend["targets"][1], "ts_ms / $__interval_ms * $__interval_ms / 1000 AS time",
                "$__unixEpochGroupSeconds(ts_ms, $__interval_ms/1000) AS time")
        self.expect("wants a whole number of seconds")

    def test_every_reading_instead_of_buckets(self):
        rewrite(self.trend["targets"][0], "ts_ms / $__interval_ms * $__interval_ms / 1000 AS time, avg(value)",
                "ts_ms / 1000 AS time, value")
        rewrite(self.trend["targets"][0], "AND $__interval_ms < 300000 GROUP BY 1", "AND $__interval_ms < 3000000")
        self.expect("more than 1500 points")

    def test_two_texts_of_one_query(self):
        self.trend["targets"][0]["queryText"] += " LIMIT 10"
        self.expect("rawQueryText and queryText differ")

    def test_query_that_writes(self):
        rewrite(self.trend["targets"][0], self.trend["targets"][0]["rawQueryText"], "DELETE FROM rollup")
        self.expect("readonly")

    def test_panels_that_overlap(self):
        self.board["panels"][1]["gridPos"]["x"] -= 1
        self.expect("overlaps")

    def test_panel_that_is_too_wide(self):
        self.trend["gridPos"]["w"] = 25
        self.expect("does not fit")

    def test_misspelt_place(self):
        self.trend["gridpos"] = self.trend.pop("gridPos")
        self.expect("has no gridPos")

    def test_panel_of_an_unknown_type(self):
        self.trend["type"] = "graph"
        self.expect("unknown type 'graph'")

    def test_number_used_twice(self):
        self.board["panels"][1]["id"] = self.board["panels"][0]["id"]
        self.expect("used twice")

    def test_id_of_somebody_else_s_grafana(self):
        self.board["id"] = 7
        self.expect("has an id")

    def test_panel_that_does_not_explain_itself(self):
        del self.trend["description"]
        self.expect("says nothing about itself")

    def test_two_columns_of_one_name(self):
        rewrite(self.trend["targets"][1], '"gravity, high"', '"gravity, low"')
        self.expect("two columns of one name")

    def test_variable_with_unnamed_columns(self):
        self.board["templating"]["list"][1]["query"] = "SELECT key, name FROM dash_vessel"
        self.expect("must be __text and __value")

    def test_variable_that_offers_nothing(self):
        self.board["templating"]["list"][1]["query"] += " LIMIT 0"
        self.expect("offers nothing")

    def test_annotation_without_words(self):
        rewrite(self.board["annotations"]["list"][1]["target"], "AS title", "AS heading")
        self.expect("has no column 'title'")

    def test_annotation_in_milliseconds(self):
        rewrite(self.board["annotations"]["list"][1]["target"], "started_ms / 1000 AS time", "started_ms AS time")
        self.expect("not in Unix seconds")

    def test_two_dashboards_of_one_uid(self):
        checker = Checker(Store(STORE))
        checker.dashboard("vessel.json", self.board)
        checker.dashboard("copy.json", self.board)
        self.assertTrue(any("shares its uid" in complaint for complaint in checker.complaints))

    def test_provisioning_that_points_elsewhere(self):
        import shutil
        import tempfile
        with tempfile.TemporaryDirectory() as scratch:
            folder = pathlib.Path(shutil.copytree(DASHBOARDS / "provisioning", pathlib.Path(scratch) / "provisioning"))
            checker = Checker(Store(STORE))
            checker.provisioning(folder)
            self.assertEqual(checker.complaints, [])
            for name, before, after in [("dashboards", "grafana-dashboards", "dashboards"),
                                        ("datasources", "mode=ro", "mode=rw"),
                                        ("datasources", '    pathPrefix: "file:"', '    # pathPrefix: "file:"')]:
                path = folder / name / "gyled.yaml"
                whole = path.read_text()
                path.write_text(whole.replace(before, after))
                checker = Checker(Store(STORE))
                checker.provisioning(folder)
                self.assertEqual(len(checker.complaints), 1, f"{before} -> {after}")
                path.write_text(whole)


class FaultsAgainstTheSchema(unittest.TestCase):
    """Those that only Grafana's own types can tell."""

    @classmethod
    def setUpClass(cls):
        try:
            cls.schemas = Schemas(SCHEMAS or "")
        except FileNotFoundError:
            raise unittest.SkipTest("no schemas; make_schemas.sh makes them where npm is at hand") from None

    def expect(self, change, word):
        board = copy.deepcopy(BOARD)
        self.assertEqual(list(self.schemas.problems(board)), [])
        change(next(p for p in board["panels"] if p["type"] == "timeseries"), board)
        found = list(self.schemas.problems(board))
        self.assertTrue(any(word in " ".join(problem) for problem in found), f"no {word!r} among {found}")

    def test_text_for_a_number(self):
        self.expect(lambda p, b: p["fieldConfig"]["defaults"]["custom"].update(lineWidth="2"), "lineWidth")

    def test_word_that_is_not_on_the_list(self):
        self.expect(lambda p, b: p["fieldConfig"]["defaults"]["custom"].update(drawStyle="lines"), "drawStyle")

    def test_misspelt_key_in_an_override(self):
        self.expect(lambda p, b: p["fieldConfig"]["overrides"][0]["properties"].append(
            {"id": "custom.pointsize", "value": 3}), "pointsize")

    def test_misspelt_option(self):
        self.expect(lambda p, b: p["options"].update(legends={}), "legends")

    def test_misspelt_key_of_a_panel(self):
        self.expect(lambda p, b: p.update(descriptions="x"), "panels/")

    def test_wrong_kind_of_variable(self):
        self.expect(lambda p, b: b["templating"]["list"][0].update(type="query_list"), "query_list")


class Expansion(unittest.TestCase):
    def test_replaces_as_grafana_does(self):
        scene = {"vessel": "it's", "__from": 5, "__interval_ms": 60000}
        self.assertEqual(expand("a ${vessel:sqlstring} b $__from c ${__interval_ms}", scene), "a 'it''s' b 5 c 60000")
        self.assertEqual(expand("$__unixEpochGroupSeconds(t, 60)", scene), "cast((t / 60) as int) * 60")

    def test_interval_is_never_finer_than_the_points_allow(self):
        for hours in (1, 6, 24, 336, 2160):
            span = hours * 3_600_000
            self.assertLessEqual(span / interval_ms(span), 1500)


class GeneratedFile(unittest.TestCase):
    def test_vessel_json_is_what_make_py_writes(self):
        sys.path.insert(0, str(DASHBOARDS))
        import make
        self.assertEqual((DASHBOARDS / "vessel.json").read_text(encoding="utf-8"), make.text(),
                         "run grafana-dashboards/make.py and commit what it writes")


if __name__ == "__main__":
    STORE = sys.argv.pop(1)
    SCHEMAS = sys.argv.pop(1) if len(sys.argv) > 1 and not sys.argv[1].startswith("-") else None
    unittest.main()
