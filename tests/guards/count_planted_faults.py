#!/usr/bin/env python3
"""tests/count.py must count what went wrong: made-up reports of ctest and GoogleTest, and what is to be said of each."""
import io, json, pathlib, sys, tempfile
from contextlib import redirect_stdout

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1]))
import count

GOOD = '<testcase name="One" status="run"/><testcase name="Two" status="run"/>'
BAD = GOOD + '<testcase name="Three" status="run"><failure message="no"/></testcase>'
SKIPS = GOOD + '<testcase name="Three" status="run" result="skipped"><skipped message="a.cpp:1&#x0A;no broker"/></testcase>'


def said(processes, strict=True, allowed=""):
    """The exit code and the last line for {name: (ctest's status, GoogleTest's cases or what a program said)}."""
    with tempfile.TemporaryDirectory() as folder:
        build = pathlib.Path(folder)
        (build / "reports").mkdir()
        (build / "skips").write_text(allowed)
        entries = ""
        for name, (status, cases, text) in processes.items():
            if cases:
                (build / "reports" / f"{name.replace('/', '.')}.xml").write_text(f"<testsuites><testsuite>{cases}</testsuite></testsuites>")
            why = "Unable to find executable" if text == "" else "SKIP_RETURN_CODE=77"
            skip = f'<skipped message="{why}"/>' if status == "notrun" else ""
            entries += (f'<testcase name="{name}" status="{status}">{skip}'
                        f"<system-out>{text or ''}</system-out></testcase>")
        labels = {name: ["core", "gtest"] if text is None else [] for name, (_, _, text) in processes.items()}
        listed = [{"name": name, "properties": [{"name": "LABELS", "value": value}]} for name, value in labels.items()]
        (build / "listed.json").write_text(json.dumps({"tests": listed}))
        (build / "tests.xml").write_text(f"<testsuite>{entries}</testsuite>")
        with redirect_stdout(io.StringIO()) as out:
            code = count.main(build, build / "skips", strict)
        return code, out.getvalue().splitlines()[-1]


good, program = {"a/Good": ("run", GOOD, None)}, {"b/program": ("run", None, "fine")}
expected = [
    ("all is well", said(good | program), (0, "3 passed, 0 failed")),
    ("a failed case", said(good | {"a/Bad": ("fail", BAD, None)}), (1, "4 passed, 1 failed")),
    ("a crash", said(good | {"a/Crash": ("fail", None, None)}), (1, "2 passed, 1 failed")),
    ("an end before the report", said(good | {"a/Exit": ("run", None, None)}), (1, "2 passed, 1 failed")),
    ("a leak after the last case", said(good | {"a/Leak": ("fail", GOOD, None)}), (1, "4 passed, 1 failed")),
    ("a program that failed", said(good | {"b/program": ("fail", None, "no")}), (1, "2 passed, 1 failed")),
    ("a program that is not there", said(good | {"b/gone": ("notrun", None, "")}), (1, "2 passed, 1 failed")),
    ("nothing ran", said({}), (1, "0 passed, 0 failed")),
    ("a skipped case", said({"a/Skips": ("run", SKIPS, None)}), (1, "2 passed, 0 failed, 1 skipped")),
    ("at a desk", said({"a/Skips": ("run", SKIPS, None)}, strict=False), (0, "2 passed, 0 failed, 1 skipped")),
    ("an excuse", said({"a/Skips": ("run", SKIPS, None)}, allowed="a/Skips.Three  no broker"), (0, "2 passed, 0 failed, 1 skipped")),
    ("another's excuse", said({"a/Skips": ("run", SKIPS, None)}, allowed="a/Skips.Three  no net"), (1, "2 passed, 0 failed, 1 skipped")),
    ("a skipped program", said(good | {"b/page": ("notrun", None, "SKIPPED: no node")}), (1, "2 passed, 0 failed, 1 skipped")),
]
wrong = [f"{what}: got {got}, not {wanted}" for what, got, wanted in expected if got != wanted]
print("\n".join(wrong) or f"{len(expected)} cases counted rightly")
sys.exit(1 if wrong else 0)
