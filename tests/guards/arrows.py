#!/usr/bin/env python3
"""arrows.py SOURCE LINK_LINES: does every #include follow a link line?

A file may include a header of its own target, of a target that its own links, and of what those hand on (PUBLIC). Link lines must
not run in a circle. Each outside thing has its folders; nobody else knows it. LINK_LINES is link_lines.cmake's."""
import pathlib, re, sys
from dataclasses import dataclass

# What an outside header begins with, and the folders that may include it.
OUTSIDE = {
    "Paho": (r"mqtt/|MQTT", ["daemon/mqtt", "sensors/virtual_vessel"]),
    "SQLite": (r"sqlite", ["daemon/storage"]),
    "Beast": (r"boost/beast", ["daemon/web", "daemon/cli"]),
    "curl": (r"curl/", ["daemon/notify"]),
    "the TOML parser": (r"toml", ["daemon/config"]),
    "the date library": (r"date/", ["daemon/zone"]),
}


@dataclass
class Target:
    folders: set
    sources: set
    links: list
    hands_on: list


def read_targets(text, source):
    targets = {}
    for line in text.splitlines():
        name, home, sources, links, hands_on = line.split("|")
        files = {(pathlib.Path(home) / file).resolve() for file in sources.split()}
        files = {file.relative_to(source) for file in files if file.is_relative_to(source) and file.exists()}
        folders = {file.parent for file in files} or {pathlib.Path(home).resolve().relative_to(source)}
        targets[name] = Target(folders, files, links.split(), hands_on.split())
    return targets


def known_to(name, targets):
    """The target itself, what it links, and what those hand on."""
    known, open_ = {name}, list(targets[name].links + targets[name].hands_on)
    while open_:
        if (other := open_.pop()) in targets and other not in known:
            known.add(other)
            open_ += targets[other].hands_on
    return known


def owners(file, targets):
    """A source belongs to who compiles it, a header to who compiles its source; one without to those whose folder it lies in."""
    for source in (file, file.with_suffix(".cpp")):
        if compiled := {name for name, target in targets.items() if source in target.sources}:
            return compiled
    return {name for name, target in targets.items() if file.parent in target.folders}


def includer(file, targets):
    """Whose link lines a file must keep to: of several owners, the one named like the folder."""
    mine = owners(file, targets)
    named = "gyled_" + "_".join(part for part in file.parent.parts if part != "daemon")
    return {named} if named in mine else mine


def circles(targets):
    for name in targets:
        if any(name in known_to(other, targets) for other in known_to(name, targets) - {name}):
            yield f"{name} links what links it: a circle"


def complaints(source, targets):
    yield from circles(targets)
    files = [file for top in ["daemon", "sensors"] for file in sorted((source / top).rglob("*.[ch]pp"))]
    for path in files:
        yield from complaints_about(path.relative_to(source), source, targets)
    if not files or not targets:
        yield "there is nothing to read"


def complaints_about(file, source, targets):
    if not (mine := includer(file, targets)):
        yield f"{file}: belongs to no target"
    for number, line in enumerate((source / file).read_text().splitlines(), 1):
        if found := re.match(r'\s*#\s*include\s*(["<])([^">]+)', line):
            if wrong := judge(file, found[1] == '"', found[2], mine, source, targets):
                yield f"{file}:{number}: {wrong}"


def judge(file, is_quoted, included, mine, source, targets):
    for thing, (pattern, folders) in OUTSIDE.items():
        if re.match(pattern, included) and not any(file.is_relative_to(folder) for folder in folders):
            return f"{included}: only {' and '.join(folders)} may know {thing}"
    if not is_quoted:
        return None
    header = next((h for h in [pathlib.Path(included), file.parent / included] if (source / h).exists()), None)
    if header is None:  # one that CMake makes has its template beside the file
        made = (source / file.parent / f"{included}.in").exists()
        return None if made else f"{included}: there is no such header"
    theirs = owners(header, targets)
    for name in mine:
        if not theirs & known_to(name, targets):
            return f"{included}: {name} does not link {' or '.join(sorted(theirs)) or 'its folder'}"
    return None


if __name__ == "__main__":
    root = pathlib.Path(sys.argv[1]).resolve()
    found = list(complaints(root, read_targets(pathlib.Path(sys.argv[2]).read_text(), root)))
    print("\n".join(found) or "every include follows a link line")
    sys.exit(1 if found else 0)
