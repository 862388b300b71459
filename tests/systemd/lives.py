#!/usr/bin/env python3
"""lives.py GYLED: does the daemon speak with the service manager as its unit says (Type=notify, WatchdogSec)?

This program plays the manager: it listens on $NOTIFY_SOCKET. Exit: 0 as promised, 1 not."""
import os, pathlib, signal, socket, subprocess, sys, tempfile

gyled = sys.argv[1]
patience_s = 30
configuration = """
[broker]
url = "mqtt://127.0.0.1:1"     # nobody there: the watch begins all the same
[storage]
path = "{path}"
spool = "spool"
[web]
listen = ""
[[vessel]]
id = "north"
total_volume_l = 26.0
{more}
"""


class Service:
    """One run of the daemon in a folder of its own."""

    def __init__(self, path="gyled.db", more="", arguments=()):
        self.folder = tempfile.TemporaryDirectory()
        self.home = pathlib.Path(self.folder.name)
        file = self.home / "gyled.toml"
        file.write_text(configuration.format(path=path, more=more))
        self.manager = socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM)
        self.manager.bind(str(self.home / "notify"))
        self.manager.settimeout(patience_s)
        self.process = subprocess.Popen(
            [gyled, "--config", str(file), *arguments],
            env={**os.environ, "NOTIFY_SOCKET": str(self.home / "notify")},
            stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True)

    def hears(self, word):
        """The messages up to the first that holds this word; fails when it never comes."""
        heard = []
        while not heard or word not in heard[-1]:
            try:
                heard.append(self.manager.recv(4096).decode())
            except TimeoutError:
                self.process.kill()
                sys.exit(f"expected {word}, heard {heard}: {self.process.communicate()[1]}")
        return heard

    def ends(self):
        """(exit code, what was said on standard error, messages not yet heard)"""
        try:
            said = self.process.communicate(timeout=patience_s)[1]
        except subprocess.TimeoutExpired:
            self.process.kill()
            sys.exit(f"does not end: {self.process.communicate()[1]}")
        self.manager.setblocking(False)
        rest = []
        try:
            while True:
                rest.append(self.manager.recv(4096).decode())
        except BlockingIOError:
            return self.process.returncode, said, rest


def expect(claim, holds, seen):
    if not holds:
        sys.exit(f"{claim}: {seen}")
    print(claim)


service = Service()
first = service.hears("READY=1")
expect("is ready before it says that it lives", not any("WATCHDOG" in message for message in first[:-1]), first)
service.hears("WATCHDOG=1")
service.hears("WATCHDOG=1")
mode = (service.home / "gyled.sock").stat().st_mode & 0o777
expect("opens the socket to owner and group only", mode == 0o660, oct(mode))
service.process.send_signal(signal.SIGTERM)
service.hears("STOPPING=1")
code, said, _ = service.ends()
expect("ends well when it is told to end", code == 0, (code, said))
# segments, spool.1, spool.2 ...: what stands beside them holds no message
left = [path.name for path in service.home.glob("spool.*") if path.suffix[1:].isdigit() and path.stat().st_size > 0]
expect("leaves no message in the spool", not left, left)

code, said, heard = Service(more="volum_l = 3").ends()
expect("exits 2 on a mistake, and was never ready", code == 2 and not heard and "volum_l" in said, (code, heard, said))

without_store = Service(path="no/such/folder/gyled.db")
without_store.hears("READY=1")
without_store.hears("WATCHDOG=1")
without_store.process.send_signal(signal.SIGTERM)
code, said, _ = without_store.ends()
expect("watches without a store, and says so", code == 0 and "gyled.db" in said, (code, said))

code, said, heard = Service(arguments=["--check-config"]).ends()
expect("only checks when asked to check", code == 0 and not heard, (code, heard, said))
