"""The three children of `manage.py up`: `python -m shopfloor.children web|worker|beat`.

Each ends with its parent: the parent holds the other end of the child's standard input, and the system
closes it when the parent is gone, even by kill -9.
"""

from __future__ import annotations

import argparse
import os
import signal
import sys
import threading
import time
from types import FrameType

WEB_THREADS = 8
WORKER_THREADS = 2
LAST_SECONDS = 5


def main() -> None:
    """Be the child that the command line names, until told to stop or left alone."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shopfloor.settings")
    options = argparse.ArgumentParser()
    options.add_argument("child", choices=["web", "worker", "beat"])
    options.add_argument("--host", default="127.0.0.1")
    options.add_argument("--port", type=int, default=8000)
    asked = options.parse_args()
    _end_with_the_parent()
    if asked.child == "web":
        web(asked.host, asked.port)
    elif asked.child == "worker":
        worker()
    else:
        beat()


def web(host: str, port: int) -> None:
    """Serve the pages."""
    import waitress

    from shopfloor.wsgi import application

    # The server ends its threads in order on SystemExit, and knows nothing of signals.
    signal.signal(signal.SIGTERM, _leave)
    waitress.serve(application, host=host, port=port, threads=WEB_THREADS, ident=None, _quiet=True)


def worker() -> None:
    """Do the work that is waiting."""
    _celery(
        "worker",
        "--pool=threads",
        f"--concurrency={WORKER_THREADS}",
        "--loglevel=warning",
        "--without-gossip",
        "--without-mingle",
        "--without-heartbeat",
    )


def beat() -> None:
    """Ring at the set times: one clock for one studio, the next one waits until this one is gone."""
    from shopfloor.bootstrap import data_directory
    from shopfloor.locks import HeldElsewhere, take_lock

    signal.signal(signal.SIGTERM, _leave)
    while True:
        try:
            held = take_lock(data_directory() / "beat.lock", str(os.getpid()))
            break
        except HeldElsewhere:
            time.sleep(1)
    with held:
        # Without its own pid file: that one would be left behind by a kill and refuse the next start.
        _celery("beat", "--loglevel=warning", "--pidfile=")


def _celery(*arguments: str) -> None:
    import warnings

    import django
    from celery.platforms import SecurityWarning

    # Said on every start where the studio runs as root, as in a container; its jobs are its own rows only.
    warnings.filterwarnings("ignore", category=SecurityWarning)
    django.setup()
    from shopfloor.celery import app

    app.start(["--quiet", *arguments])


def _leave(number: int, frame: FrameType | None) -> None:
    # A second signal would break the end that the first one began.
    signal.signal(number, signal.SIG_IGN)
    sys.exit(0)


def _end_with_the_parent() -> None:
    def wait_for_the_end() -> None:
        # Not by sys.stdin: its lock, held by this thread, would break the end of the interpreter.
        while os.read(0, 1):
            continue
        # First in order; whoever does not listen within a few seconds is ended all the same.
        os.kill(os.getpid(), signal.SIGTERM)
        time.sleep(LAST_SECONDS)
        os._exit(1)

    threading.Thread(target=wait_for_the_end, daemon=True, name="end with the parent").start()


if __name__ == "__main__":
    main()
