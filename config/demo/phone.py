#!/usr/bin/env python3
"""A phone for the demo: takes what a push relay would take and shows it. Loopback only.

usage: phone.py PORT [FILE]     FILE also gets each message, a line of JSON each
"""
import http.server
import json
import sys
import textwrap


class Phone(http.server.BaseHTTPRequestHandler):
    def do_POST(self):
        body = self.rfile.read(min(int(self.headers.get("Content-Length") or 0), 65536))
        try:
            message = json.loads(body)
        except ValueError:
            self.send_error(400)
            return
        self.send_response(200)
        self.send_header("Content-Type", "application/json")
        self.end_headers()
        self.wfile.write(b'{"id": "demo", "event": "message"}')  # the receipt by which a relay takes a message
        if len(sys.argv) > 2:
            with open(sys.argv[2], "a", encoding="utf-8") as log:
                log.write(json.dumps(message, ensure_ascii=False) + "\n")
        urgency = {5: "!!!", 4: "!!", 3: "!"}.get(message.get("priority"), "")
        lines = [f"{message.get('title', '')} {urgency}".strip()]
        lines += textwrap.wrap(message.get("message", ""), 62)
        width = max(map(len, lines))
        print("\n  phone  ┌─" + "─" * width + "─┐")
        for line in lines:
            print("         │ " + line.ljust(width) + " │")
        print("         └─" + "─" * width + "─┘", flush=True)

    def log_message(self, *_):
        pass


http.server.HTTPServer(("127.0.0.1", int(sys.argv[1])), Phone).serve_forever()
