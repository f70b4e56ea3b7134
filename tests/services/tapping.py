"""Somebody who taps: a signed-in session over plain HTTP, without a browser."""

from __future__ import annotations

import http.client
import json
import ssl
from urllib.parse import urlencode, urlsplit

PATIENCE_SECONDS = 30.0


class Hand:
    """One person's session. A request that gets no answer raises OSError or HTTPException."""

    def __init__(self, address: str, *, trusting: ssl.SSLContext | None = None) -> None:
        """Over TLS where `trusting` says whom to believe."""
        place = urlsplit(address)
        self.address = address
        self.host, self.port = place.hostname or "", place.port
        self.trusting = trusting
        self.cookies: dict[str, str] = {}
        self.csrf = ""

    def sign_in(self, name: str, password: str) -> None:
        """By name and password, as on the page."""
        self.cookies.clear()
        page = self.ask("GET", "/sign-in/")[1].decode()
        self.csrf = page.partition('name="csrfmiddlewaretoken" value="')[2].partition('"')[0]
        code, _ = self.tap("/sign-in/", username=name, password=password)
        if code != 302:
            raise RuntimeError(f"Not signed in: {code}")
        self.csrf = json.loads(self.ask("GET", "/kept/who/")[1])["csrf"]

    def tap(self, path: str, **fields: str) -> tuple[int, bytes]:
        """Post a form; answers the code and what came with it."""
        return self.ask("POST", path, urlencode({**fields, "csrfmiddlewaretoken": self.csrf}))

    def ask(self, method: str, path: str, body: str | None = None) -> tuple[int, bytes]:
        """One request of a connection of its own."""
        line = self._line()
        try:
            headers = {"Cookie": "; ".join(f"{name}={value}" for name, value in self.cookies.items())}
            if body is not None:
                headers["Content-Type"] = "application/x-www-form-urlencoded"
            if self.trusting:
                # A browser says so, and over TLS the studio wants to hear it.
                headers["Referer"] = f"{self.address}{path}"
            line.request(method, path, body, headers)
            answer = line.getresponse()
            content = answer.read()
            for cookie in answer.headers.get_all("Set-Cookie") or ():
                name, _, value = cookie.partition(";")[0].partition("=")
                self.cookies[name] = value
            return answer.status, content
        finally:
            line.close()

    def _line(self) -> http.client.HTTPConnection:
        if self.trusting is None:
            return http.client.HTTPConnection(self.host, self.port, timeout=PATIENCE_SECONDS)
        return http.client.HTTPSConnection(
            self.host, self.port, timeout=PATIENCE_SECONDS, context=self.trusting
        )
