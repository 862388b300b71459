#!/usr/bin/env python3
"""arrows_planted_faults.py SOURCE LINK_LINES: arrows.py must see what is planted in a copy of the tree.

For each two targets, one file of the first includes one header of the second: a complaint exactly where no link line leads. Then the
outside headers, a header that is not there, a file of nobody's and a circle."""
import pathlib, shutil, sys, tempfile

import arrows

source, lines = pathlib.Path(sys.argv[1]).resolve(), pathlib.Path(sys.argv[2]).read_text()
wrong, planted = [], 0


def new_complaints(file, text):
    """What is said of a copy in whose `file` ends with `text`, and was not said before."""
    path = tree / file
    path.parent.mkdir(exist_ok=True)
    before = path.read_text() if path.exists() else None
    path.write_text((before or "") + text + "\n")
    found = [c for c in arrows.complaints_about(pathlib.Path(file), tree, targets) if c not in at_first]
    if before is None:
        path.unlink()
    else:
        path.write_text(before)
    return found


def expect(is_caught, what, found):
    global planted
    planted += 1
    if bool(found) != is_caught:
        wrong.append(f"{what}: " + ("nobody noticed" if is_caught else f"allowed, yet {found}"))


def a_header(name):
    return next((str(header.relative_to(tree)) for folder in sorted(targets[name].folders)
                 for header in sorted((tree / folder).glob("*.hpp"))
                 if arrows.owners(header.relative_to(tree), targets) == {name}), None)


with tempfile.TemporaryDirectory() as folder:
    tree = pathlib.Path(folder).resolve()
    for top in ["daemon", "sensors"]:
        shutil.copytree(source / top, tree / top, ignore=lambda _, names: [n for n in names if n.endswith(".html")])
    targets = arrows.read_targets(lines.replace(f"{source}/", f"{tree}/"), tree)
    at_first = list(arrows.complaints(tree, targets))
    libraries = [name for name in targets if targets[name].sources and a_header(name)]
    for name in libraries:
        for other in libraries:
            if name != other:
                found = new_complaints(min(targets[name].sources), f'#include "{a_header(other)}"')
                expect(other not in arrows.known_to(name, targets), f"{name} includes {other}", found)
    for thing, (_, allowed) in arrows.OUTSIDE.items():
        header = {"Paho": "mqtt/client.h", "SQLite": "sqlite3.h", "Beast": "boost/beast/http.hpp", "curl": "curl/curl.h",
                  "the TOML parser": "toml++/toml.h", "the date library": "date/tz.h"}[thing]
        expect(True, f"the cellar includes {header}", new_complaints("daemon/cellar/planted.hpp", f"#include <{header}>"))
        expect(False, f"{allowed[0]} includes {header}", new_complaints(f"{allowed[0]}/planted.hpp", f"#include <{header}>"))
    expect(True, "no such header", new_complaints("daemon/cellar/planted.hpp", '#include "daemon/cellar/nowhere.hpp"'))
    expect(True, "a file of nobody's", new_complaints("daemon/nobody/planted.hpp", "int planted;"))
    leaf = next(name for name in libraries if len(arrows.known_to(name, targets)) == 1)
    targets[leaf].links.append(next(name for name in libraries if leaf in arrows.known_to(name, targets) - {name}))
    expect(True, "a circle", list(arrows.circles(targets)))

print("\n".join(wrong) or f"{planted} planted, each judged rightly")
sys.exit(1 if wrong or not planted else 0)
