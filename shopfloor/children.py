"""The three children of `manage.py up`: `python -m shopfloor.children web|worker|beat`.

Each ends with its parent: the parent holds the other end of the child's standard input, and the system
closes it when the parent is gone, even by kill -9.
"""

from __future__ import annotations

import argparse
import os
import signal
import socket
import sys
import threading
import time
from types import FrameType
from typing import Any

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
    options.add_argument("--threads", type=int, default=WEB_THREADS)
    options.add_argument("--shared", action="store_true")
    asked = options.parse_args()
    _end_with_the_parent()
    if asked.child == "web":
        web(asked.host, asked.port, threads=asked.threads, is_shared=asked.shared)
    elif asked.child == "worker":
        worker()
    else:
        beat()


def web(host: str, port: int, *, threads: int = WEB_THREADS, is_shared: bool = False) -> None:
    """Serve the pages; `is_shared` where several processes do so at one port."""
    import waitress
    from django.conf import settings

    from shopfloor.wsgi import application

    # The server ends its threads in order on SystemExit, and knows nothing of signals.
    signal.signal(signal.SIGTERM, _leave)
    options = {"threads": threads, "ident": None, "_quiet": True, **behind_proxy(host, settings.HTTPS)}
    if not is_shared:
        waitress.serve(application, host=host, port=port, **options)
        return
    with socket.socket(socket.AF_INET6 if ":" in host else socket.AF_INET) as door:
        # The system gives each caller to one of the processes that listen at the same port.
        door.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEPORT, 1)
        door.bind((host, port))
        waitress.serve(application, sockets=[door], **options)


def behind_proxy(host: str, is_encrypted: bool) -> dict[str, Any]:
    """Options of the web server: what it believes of the one that encrypts before it, and of nobody else.

    Without them it strikes out what that one says, and every page leads to itself for ever. On a loopback
    address only this machine can be it; else nobody but it may reach the port.
    """
    if not is_encrypted:
        return {}
    return {
        "trusted_proxy": "127.0.0.1" if host in ("127.0.0.1", "localhost") else "*",
        "trusted_proxy_count": 1,
        "trusted_proxy_headers": {"x-forwarded-proto", "x-forwarded-for"},
        "clear_untrusted_proxy_headers": True,
    }


def worker() -> None:
    """Do the work that is waiting."""
    import warnings

    import django
    from celery.platforms import SecurityWarning

    # Said on every start where the studio runs as root, as in a container; its jobs are its own rows only.
    warnings.filterwarnings("ignore", category=SecurityWarning)
    # Django's checks are for who writes the code; here they would hold every page's forms in memory.
    os.environ.setdefault("CELERY_SKIP_CHECKS", "1")
    django.setup()
    from shopfloor.celery import app

    app.start(
        [
            "--quiet",
            "worker",
            "--pool=threads",
            f"--concurrency={WORKER_THREADS}",
            "--loglevel=warning",
            "--without-gossip",
            "--without-mingle",
            "--without-heartbeat",
        ]
    )


def beat() -> None:
    """Ring at the set times, while no other clock of this studio does (`shopfloor.jobs.clock`)."""
    import django

    django.setup()
    from celery.beat import Service

    from shopfloor.celery import app

    signal.signal(signal.SIGTERM, _leave)
    # Not by the command of the same name: it loads whatever can be rung for, and a ring is a mere name.
    Service(app, scheduler_cls=app.conf.beat_scheduler).start()


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
