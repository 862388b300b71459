#!/usr/bin/env python3
"""count.py BUILD ALLOWED [--strict]: what ctest listed (listed.json) and ran (tests.xml) in BUILD, counted.

A GoogleTest process counts as its cases, from the report it wrote; any other test counts as one. A process that failed without a failed
case (a crash, a time-out, a leak at the end), or that left no report, is one failure more. Skipped tests are listed last, with their
reasons; with --strict one that ALLOWED does not list makes the exit code 1. The last line is the count."""
import json, pathlib, re, sys, xml.etree.ElementTree as tree


NOT_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def parsed(report):
    """GoogleTest writes a parameter's bytes as they are; XML knows no control characters."""
    return tree.fromstring(NOT_XML.sub("?", report.read_text(encoding="utf-8", errors="replace")))


class Count:
    def __init__(self, googletests):
        self.googletests = googletests
        self.passed, self.failed, self.skipped = 0, [], []

    def process(self, test, build):
        name = test.get("name")
        report = build / "reports" / (name.replace("/", ".") + ".xml")
        if name not in self.googletests:
            self.program(test)
        elif not report.exists():
            self.failed.append(f"{name} (it ended before its report)")
        else:
            failed_before = len(self.failed)
            self.cases(name, parsed(report))
            if test.get("status") != "run" and len(self.failed) == failed_before:
                self.failed.append(f"{name} (the process, though none of its cases)")

    def program(self, test):
        said = test.findtext("system-out") or ""
        if test.get("status") == "run":
            self.passed += 1
        elif test.get("status") == "notrun" and test.find("skipped").get("message").startswith("SKIP_"):
            reasons = [line for line in said.splitlines() if "skipped" in line.lower()] or said.splitlines()[-1:] or ["no reason given"]
            self.skipped.append((test.get("name"), reasons[-1].strip()))
        else:
            self.failed.append(test.get("name"))

    def cases(self, name, report):
        for case in report.iter("testcase"):
            full = f"{name}.{case.get('name')}"
            skipped = case.find("skipped")
            if case.find("failure") is not None:
                self.failed.append(full)
            elif skipped is not None:
                reason = (skipped.get("message") or skipped.text or "no reason given").strip().splitlines()[-1]
                self.skipped.append((full, reason))
            elif case.get("status") == "run":
                self.passed += 1
            else:
                self.skipped.append((full, "disabled in the source"))


def names_of_googletests(listed):
    labels = {test["name"]: [p["value"] for p in test["properties"] if p["name"] == "LABELS"] for test in listed["tests"]}
    return {name for name, values in labels.items() if any("gtest" in value for value in values)}


def read_allowed(text):
    lines = [line for line in text.splitlines() if line.strip() and not line.startswith("#")]
    return [tuple(re.split(r"\s{2,}", line.strip(), maxsplit=1)) for line in lines]


def is_allowed(name, reason, allowed):
    return any(re.fullmatch(names, name) and re.search(reasons, reason) for names, reasons in allowed)


def main(build, allowed_file, strict):
    build = pathlib.Path(build)
    count = Count(names_of_googletests(json.loads((build / "listed.json").read_text())))
    allowed = read_allowed(pathlib.Path(allowed_file).read_text())
    for test in tree.parse(build / "tests.xml").getroot().iter("testcase"):
        count.process(test, build)
    for name in count.failed:
        print(f"failed: {name}")
    unexcused = 0
    for name, reason in count.skipped:
        excused = is_allowed(name, reason, allowed)
        unexcused += not excused
        print(f"skipped: {name}: {reason}" + ("" if excused else f" (not excused in {allowed_file})"))
    tail = f", {len(count.skipped)} skipped" if count.skipped else ""
    print(f"{count.passed} passed, {len(count.failed)} failed{tail}")
    return 1 if count.failed or (strict and unexcused) or not count.passed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], sys.argv[2], "--strict" in sys.argv))
