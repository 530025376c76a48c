"""Starts the kernel of the lessons with rights to what lessons need.

Usage: start_kernel.py CONNECTION_FILE

The kernel takes no permissions as words and has all of them. But Deno asks somebody else before it does anything, where
a variable names a socket to ask at. Here sits who is asked. What is not allowed below is refused, and when nobody
answers any more the kernel ends.
"""

import json
import os
import signal
import socket
import subprocess
import sys
import tempfile
import threading

PROJECT = os.path.realpath(os.path.join(os.path.dirname(__file__), "..", "..", ".."))
FOLDER = os.path.realpath(os.getcwd())  # that of the notebook
# Scores and tables may lie anywhere: a lesson asks for one's own.
MUSIC = (".abc", ".csv", ".mid", ".midi", ".musicxml", ".mxl", ".sf2", ".sf3", ".xml")
# What is written into: `out`, and beside it what is there while it is made.
WRITTEN = [
    os.path.join(place, name)
    for place in (FOLDER, PROJECT)
    for name in ("out", ".ripieno.lock", ".ripieno.part")
]


def is_within(path, folder):
    return path == folder or path.startswith(os.path.join(folder, ""))


def full_path(value, process):
    """A path as the kernel means it, links followed."""
    try:
        here = os.readlink(f"/proc/{process}/cwd")  # it may have gone to another folder
    except OSError:
        here = FOLDER
    return os.path.realpath(os.path.join(here, value))


def is_allowed(permission, value, process, own_addresses):
    if value is None:
        return False
    if permission == "net":
        return value in own_addresses
    if permission == "read":
        path = full_path(value, process)
        return is_within(path, PROJECT) or is_within(path, FOLDER) or path.lower().endswith(MUSIC)
    if permission == "write":
        return any(is_within(full_path(value, process), place) for place in WRITTEN)
    return False


def answer(connection, own_addresses):
    with connection, connection.makefile("rwb") as lines:
        for line in lines:
            asked = json.loads(line)
            allowed = is_allowed(asked["permission"], asked.get("value"), asked["pid"], own_addresses)
            reply = {"id": asked["id"], "result": "allow" if allowed else "deny"}
            lines.write(json.dumps(reply).encode() + b"\n")
            lines.flush()


def answer_all(server, own_addresses):
    while True:
        connection, _ = server.accept()
        threading.Thread(target=answer, args=(connection, own_addresses), daemon=True).start()


def run(connection_file, env):
    words = ["deno", "jupyter", "--quiet", "--kernel", "--conn", connection_file]
    kernel = subprocess.Popen(words, env={**os.environ, **env})
    signal.signal(signal.SIGTERM, lambda *_: kernel.terminate())
    return kernel.wait()


def main(connection_file):
    if not hasattr(socket, "AF_UNIX"):
        print("On this system the kernel runs with all rights.", file=sys.stderr)
        return run(connection_file, {})
    with open(connection_file, encoding="utf-8") as file:
        facts = json.load(file)
    own_addresses = {f"{facts['ip']}:{port}" for name, port in facts.items() if name.endswith("_port")}
    with tempfile.TemporaryDirectory() as place, socket.socket(socket.AF_UNIX) as server:
        path = os.path.join(place, "rights")
        server.bind(path)
        server.listen()
        threading.Thread(target=answer_all, args=(server, own_addresses), daemon=True).start()
        return run(connection_file, {"DENO_PERMISSION_BROKER_PATH": path})


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
