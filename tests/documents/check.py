#!/usr/bin/env python3
"""check.py SOURCE GYLE: are README.md and DEVELOPERS.md true where a program can tell?

Their TOML is held to the program that reads such files; the paths and tests they name must be there. Faults are planted in
copies of both, and each must be noticed. Exit: 0 true, 1 not."""
import pathlib, re, subprocess, sys, tempfile

source, gyle = pathlib.Path(sys.argv[1]), sys.argv[2]
# For blocks that show only a part of a configuration.
a_vessel = '[[vessel]]\nid = "north"\ntotal_volume_l = 26.0\nworking_pressure_kpa = 200\nrelief_pressure_kpa = 180\n'


def complaints_about_toml(text):
    found = []
    blocks = re.findall(r"^```toml\n(.*?)^```$", text, re.S | re.M)
    if len(blocks) < 3:
        found.append(f"expected a configuration, a batch and a service's places, found {len(blocks)} blocks of TOML")
    for block in blocks:
        is_batch = "[[stage]]" in block
        whole = block if is_batch or "[[vessel]]" in block else block + a_vessel
        with tempfile.TemporaryDirectory() as folder:
            pathlib.Path(folder, "secrets").mkdir()
            for name in ["mqtt-password", "web-token"]:
                for secret in [pathlib.Path(folder, name), pathlib.Path(folder, "secrets", name)]:
                    secret.write_text("a secret\n")
                    secret.chmod(0o600)
            file = pathlib.Path(folder, "shown.toml")
            file.write_text(whole)
            asked = subprocess.run([gyle, "check", *(["--batch"] if is_batch else []), file], capture_output=True, text=True)
            if asked.returncode != 0:
                found.append(asked.stderr)
    return found


def complaints_about_paths(text):
    tops = "daemon|sensors|tests|config|systemd|grafana-dashboards"
    named = set(re.findall(rf"(?<![\w/.])(?:{tops})/[\w./-]*", text)) | set(re.findall(r"\]\(([\w./-]+)\)", text))
    return [f"there is no {path}" for path in sorted(named) if not (source / path.rstrip("./")).exists()]


def complaints_about_tests(text):
    found = []
    for folder, suite, case in re.findall(r"`(\w+)/([A-Z]\w*)\.([A-Z]\w*)`", text):
        sources = "".join(file.read_text() for file in source.glob(f"tests/{folder}/*.cpp"))
        if not re.search(rf"TEST(_F|_P)?\({suite},\s*{case}\)", sources):
            found.append(f"there is no test {folder}/{suite}.{case}")
    return found


def complaints(name, text):
    found = complaints_about_paths(text) + complaints_about_tests(text)
    return found + complaints_about_toml(text) if name == "README.md" else found


wrong = []
for name in ["README.md", "DEVELOPERS.md"]:
    text = (source / name).read_text()
    found = complaints(name, text)
    wrong += [f"{name}: {complaint}" for complaint in found]
    for good, bad in [
        ('unit = "SG"', 'unit = "SGG"'),
        ("relief_pressure_kpa = 180", "relief_pressure_kpa = 380"),
        ('kind = "ferment"', 'kind = "fermented"'),
        ('spool = "/run', 'spol = "/run'),
        ("](DEVELOPERS.md)", "](DEVELOPER.md)"),
        ("daemon/storage/views.sql", "daemon/storage/view.sql"),
        ("daemon/app/deliveries.cpp", "daemon/app/delivery.cpp"),
        ("LosesNothingThatWasWritten", "LosesEverythingThatWasWritten"),
    ]:
        if good in text and len(complaints(name, text.replace(good, bad))) <= len(found):
            wrong.append(f"{name}: nobody noticed {bad}")
print("\n".join(wrong) or "both are true as far as a program can tell")
sys.exit(1 if wrong else 0)
