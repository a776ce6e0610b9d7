"""The program that each process of a crowd runs; `crowd.py` starts it and reads what it writes.

Reads one line of JSON: what to run, with what, for which writers, and where to write. When all its
threads are connected it says so, and waits for one more line before it lets them go together.
"""

import importlib
import json
import os
import sys
import threading
from pathlib import Path

from halfwater import config

config.boot()

from django.db import connection  # noqa: E402

from tests.concurrency.crowd import Notes  # noqa: E402


def main() -> None:
    """Run the writers of this process, each in a thread with a connection of its own."""
    asked = json.loads(sys.stdin.readline())
    module, _, name = asked["work"].partition(":")
    work = getattr(importlib.import_module(module), name)
    here, go = threading.Semaphore(0), threading.Event()

    def run(writer: int) -> None:
        file = os.open(Path(asked["folder"]) / f"{writer}.jsonl", os.O_CREAT | os.O_APPEND | os.O_WRONLY)
        notes = Notes(file)
        try:
            try:
                connection.ensure_connection()
            finally:
                here.release()
            go.wait()
            work(writer, notes, **asked["arguments"])
        except BaseException as error:  # told to the test, whatever it is
            notes.write("failed", repr(error))
        else:
            notes.write("ended", "")
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=(writer,)) for writer in asked["writers"]]
    for thread in threads:
        thread.start()
    for _ in threads:
        here.acquire()
    sys.stdout.write("ready\n")
    sys.stdout.flush()
    sys.stdin.readline()
    go.set()
    for thread in threads:
        thread.join()


if __name__ == "__main__":
    main()
