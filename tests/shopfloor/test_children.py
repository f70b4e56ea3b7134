"""The children of `up`: what the web server believes of the one in front of it."""

from __future__ import annotations

import contextlib
import threading
import urllib.request

import pytest
import waitress

from shopfloor.children import behind_proxy


@pytest.mark.parametrize(
    ("is_encrypted", "seen"),
    [(True, "https 203.0.113.9"), (False, "http 127.0.0.1")],
    ids=["HTTPS=1", "plain"],
)
def test_the_server_in_front_is_believed_and_nobody_without_it(is_encrypted: bool, seen: str):
    def says(environ, start):
        start("200 OK", [])
        return [f"{environ['wsgi.url_scheme']} {environ['REMOTE_ADDR']}".encode()]

    server = waitress.create_server(says, host="127.0.0.1", port=0, **behind_proxy("127.0.0.1", is_encrypted))

    def serve() -> None:
        # Closed while it waits, it finds its socket gone.
        with contextlib.suppress(OSError):
            server.run()

    threading.Thread(target=serve, daemon=True).start()
    try:
        asked = urllib.request.Request(
            f"http://127.0.0.1:{server.effective_port}/",
            headers={"X-Forwarded-Proto": "https", "X-Forwarded-For": "203.0.113.9"},
        )
        with urllib.request.urlopen(asked, timeout=10) as answer:
            assert answer.read().decode() == seen
    finally:
        server.close()
