#!/usr/bin/env python3
"""A mail server and a web server of the tests' own, on loopback.

    receivers.py FOLDER

Takes whatever comes and writes each message into FOLDER: mail-1.eml, web-1.json, ... ; prints the
two ports as "SMTP HTTP" and runs until its standard input ends. While FOLDER/refuse holds a
number, both answer with that status instead of taking the message.
"""

import http.server
import json
import pathlib
import socketserver
import sys
import threading

folder = pathlib.Path(sys.argv[1])
lock = threading.Lock()
counts = {"mail": 0, "web": 0}


def refusal():
    path = folder / "refuse"
    return int(path.read_text()) if path.exists() else None


def keep(kind, suffix, content):
    """Whole or not at all: a test looks at the folder."""
    with lock:
        counts[kind] += 1
        path = folder / f"{kind}-{counts[kind]}.{suffix}"
        part = path.with_suffix(".part")
        part.write_bytes(content)
        part.rename(path)


class Mail(socketserver.StreamRequestHandler):
    """As much of RFC 5321 as a client that sends one message needs."""

    def say(self, line):
        self.wfile.write(line.encode() + b"\r\n")

    def take_data(self):
        self.say("354 go on")
        lines = []
        for line in iter(self.rfile.readline, b".\r\n"):
            if not line:
                return
            lines.append(line[1:] if line.startswith(b"..") else line)
        keep("mail", "eml", b"".join(lines))
        self.say("250 taken")

    def handle(self):
        self.say("220 receiver")
        for line in iter(self.rfile.readline, b""):
            verb = line[:4].upper()
            if verb == b"DATA":
                status = refusal()
                if status:
                    self.say(f"{status} not now")
                else:
                    self.take_data()
            elif verb == b"QUIT":
                self.say("221 bye")
                return
            else:
                self.say("250 receiver" if verb == b"EHLO" else "250 yes")


class Web(http.server.BaseHTTPRequestHandler):
    def do_POST(self):
        body = self.rfile.read(int(self.headers["Content-Length"])).decode()
        status = refusal()
        if not status:
            headers = {name.lower(): value for name, value in self.headers.items()}
            keep("web", "json", json.dumps({"headers": headers, "body": body}).encode())
        self.send_response(status or 204)
        if status and 300 <= status < 400:
            self.send_header("Location", "/elsewhere")
        self.end_headers()

    def log_message(self, *_):
        pass


class Server(socketserver.ThreadingTCPServer):
    daemon_threads = True


def main():
    servers = [Server(("127.0.0.1", 0), handler) for handler in (Mail, Web)]
    for server in servers:
        threading.Thread(target=server.serve_forever, daemon=True).start()
    print(*(server.server_address[1] for server in servers), flush=True)
    sys.stdin.read()


main()
