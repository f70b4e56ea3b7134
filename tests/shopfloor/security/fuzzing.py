"""Asks for every address and sends every form of a studio with what nobody would type; notes what broke.

Which addresses and forms there are is read from the pages themselves, one or two for each route. What was
sent is taken back after each request, so that the next one finds the same studio.
"""

from __future__ import annotations

import copy
import os
import random
import re
import time
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import parse_qsl, quote, urlencode, urlsplit

from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction
from django.test import Client
from django.urls import Resolver404, resolve

from tests.house.test_django import all_routes
from tests.journeys.screens import Screen

# fmt: off
NASTY = (
    *("", " ", "0", "-1", "-0", "1", "007", "1e9", "1e400", "nan", "inf", "-inf", "0.0000001", "½"),
    *("\u0663", "\uff11\uff12", "%00", "."),
    *("9" * 19, "9" * 40, "-" + "9" * 30, "2147483648", "9223372036854775808", "1_000", "0x10"),
    *("\x00", "a\x00b", "\x1f", "\x7f", "\ud7ff", "\u202e", "\ufeff", "\U0001f9f1" * 3, "e\u0301" * 50),
    *("x" * 300, "x" * 5000, "\n", "a\r\nSet-Cookie: a=b", "../../etc/passwd", "%2e%2e%2f", "a/b"),
    *("<script>alert(1)</script>", "\"'><b>", "{{ 7*7 }}", "{% load x %}", "%s%n", "' OR 1=1 --", "=1+1"),
    *("0000-00-00", "9999-12-31", "10000-01-01", "2026-02-30", "24:00", "99:99", "1.5.2026", "0001-01-01"),
    *("999999999 kg", "-5 g", "5 furlongs", "1/0", "1,2,3", "true", "None", "[]", "{}", '{"a": 1}', "a,b"),
    *("00000000-0000-0000-0000-000000000000", "https://elsewhere.example/", "//elsewhere.example", "@", "#"),
)
# fmt: on
FILES = (
    b"",
    b"\x00" * 50,
    b"\xff\xfe\x00",
    b"\x89PNG\r\n\x1a\n" + b"\x00" * 40,
    b"a,b\n1",
    b'"' * 999,
    b"\xef\xbb\xbf;\n;;;;",
    b"order,article\n" + b"=cmd,x\n" * 3,
)
# A real browser sends no address longer than its server reads.
ADDRESS_MOST = 2000
# A longer fuzz looks at two pages of each route.
OF_ONE_ROUTE = 2 if "FUZZ_SECONDS" in os.environ else 1


@dataclass(frozen=True)
class Sent:
    """One request."""

    method: str
    address: str
    fields: tuple[tuple[str, Any], ...] = ()
    headers: tuple[tuple[str, str], ...] = ()

    def __str__(self) -> str:
        said = ", ".join(f"{name}={str(value)[:60]!r}" for name, value in self.fields)
        return f"{self.method} {self.address[:200]} {said}"


@dataclass
class Found:
    """What the fuzz came to."""

    forms: dict[str, Sent] = field(default_factory=dict)
    pages: set[str] = field(default_factory=set)
    texts: dict[str, str] = field(default_factory=dict)
    asked: Counter[int] = field(default_factory=Counter)
    broken: dict[str, str] = field(default_factory=dict)


def fuzz(client: Client, *, seed: int, seconds: float) -> Found:
    """Walk the studio, then send made-up requests until the time is over."""
    client.raise_request_exception = False
    found, chance = Found(), random.Random(seed)
    walk(client, found, ["/" + address for address, _ in all_routes() if "<" not in address])
    until = time.monotonic() + seconds
    for sent in made_up(found, chance):
        ask(client, found, sent)
        if time.monotonic() > until:
            break
    return found


def walk(client: Client, found: Found, begin: Iterable[str]) -> None:
    """Open one or two pages of each route by the links that pages show, and note their forms."""
    waiting, seen = list(begin), Counter[str]()
    while waiting:
        address = waiting.pop(0)
        route = route_of(urlsplit(address).path)
        if not route or seen[route] >= OF_ONE_ROUTE or address in found.pages:
            continue
        seen[route] += 1
        found.pages.add(address)
        answer = ask(client, found, Sent("GET", address))
        if not answer.get("Content-Type", "").startswith("text/html"):
            continue
        found.texts[address] = answer.content.decode()
        screen = Screen(answer, address)
        waiting += [link.split("#")[0] for link, _ in screen.links if link.startswith("/")]
        for form in screen.forms:
            to = form.address or address
            fields = dict.fromkeys((*form.fields, *form.ticks, *(p.name for p in form.plates if p.name)), "")
            fields |= {plate.name: plate.value for plate in form.plates if plate.name} | form.fields
            sent = Sent(form.method.upper(), to, tuple(fields.items()))
            found.forms.setdefault(f"{sent.method} {route_of(urlsplit(to).path)} {sorted(fields)}", sent)


def made_up(found: Found, chance: random.Random) -> Iterator[Sent]:
    """Requests without end: first each form and address once, then at random."""
    forms, pages, routes = list(found.forms.values()), sorted(found.pages), all_routes()
    posted = {route_of(urlsplit(form.address).path) for form in forms if form.method == "POST"}
    shown = {route_of(urlsplit(page).path) for page in pages}
    post_only = {
        address
        for address, pattern in routes
        if pattern.name in {name.split(":")[-1] for name in posted - shown}
    }
    while True:
        chance.shuffle(forms)
        for sent in forms:
            yield spoilt(sent, chance)
            yield spoilt(sent, chance, how_many=chance.randint(1, 4))
        for address, pattern in chance.sample(routes, len(routes)):
            if pattern.name != "sign-out":
                method = "POST" if address in post_only else chance.choice(("GET", "GET", "POST"))
                yield Sent(method, _filled(address, chance), _some_fields(chance))
        for address in chance.sample(pages, min(len(pages), 40)):
            yield _with_query(address, chance)


def spoilt(sent: Sent, chance: random.Random, how_many: int = 1) -> Sent:
    """A form with some of its fields left out, doubled, or filled with what nobody would type."""
    fields = dict(sent.fields)
    names = [name for name in fields if name != "csrfmiddlewaretoken"]
    for name in chance.sample(names, min(how_many, len(names))):
        how = chance.random()
        if how < 0.12:
            del fields[name]
        elif how < 0.18:
            fields[name] = [chance.choice(NASTY), chance.choice(NASTY)]
        elif how < 0.24:
            fields[name] = SimpleUploadedFile(
                chance.choice(("a.csv", "../x.png", "")) or "x", chance.choice(FILES)
            )
        else:
            fields[name] = chance.choice(NASTY)
    if chance.random() < 0.1:
        fields["photo"] = SimpleUploadedFile("x.png", chance.choice(FILES))
    headers = (("Hx-Request", "true"),) if chance.random() < 0.2 else ()
    return Sent(sent.method, sent.address, tuple(fields.items()), headers)


def ask(client: Client, found: Found, sent: Sent) -> Any:
    """Send one request and take back what it changed; a fault is noted by the place where it arose."""
    cookies = copy.deepcopy(client.cookies)
    with transaction.atomic():
        if sent.method == "POST":
            fields = {name: value for name, value in sent.fields if value is not None}
            answer = client.post(sent.address, fields, headers=dict(sent.headers))
        else:
            fields = [(name, value) for name, value in sent.fields if isinstance(value, str)]
            answer = client.get(sent.address, fields, headers=dict(sent.headers))
        if answer.status_code == 200 and answer.streaming:
            b"".join(answer.streaming_content)
        transaction.set_rollback(True)
    client.cookies = cookies
    found.asked[answer.status_code] += 1
    if answer.status_code >= 500:
        found.broken.setdefault(_place(answer), str(sent))
    return answer


def _place(answer: Any) -> str:
    """Where a fault arose: the last line of our own, and what it was."""
    if not getattr(answer, "exc_info", None):
        return f"answered {answer.status_code}"
    _, fault, trace = answer.exc_info
    ours = "elsewhere"
    while trace is not None:
        name = trace.tb_frame.f_code.co_filename
        if re.search(r"/(inventory|production|orders|shopfloor)/", name) and "site-packages" not in name:
            ours = f"{name}:{trace.tb_lineno}"
        trace = trace.tb_next
    return f"{ours} {type(fault).__name__}: {str(fault)[:150]}"


def route_of(path: str) -> str:
    """The name of the route that an address leads to, empty where there is none."""
    try:
        return resolve(path).view_name
    except Resolver404:
        return ""


def _filled(address: str, chance: random.Random) -> str:
    """An address with figures and signs in its places."""

    def place(match: re.Match[str]) -> str:
        if (match[1] or "str") == "int":
            return chance.choice(("0", "1", "2", "3", "7", "99", "9" * 18, "9" * 19, "9" * 60))
        return quote(chance.choice(NASTY)[:400].replace("/", "|"), safe="|") or "x"

    return "/" + re.sub(r"<(?:(\w+):)?\w+>", place, address)[:ADDRESS_MOST]


def _some_fields(chance: random.Random) -> tuple[tuple[str, Any], ...]:
    names = chance.sample(("request_key", "page", "sort", "csv", "as", "q", "code", "next", "day", "at"), 2)
    return tuple((name, chance.choice(NASTY)) for name in names)


def _with_query(address: str, chance: random.Random) -> Sent:
    """A page asked with its own question spoilt."""
    parts = urlsplit(address)
    asked = dict(parse_qsl(parts.query, keep_blank_values=True)) | dict(_some_fields(chance))
    for name in asked:
        if chance.random() < 0.7:
            asked[name] = chance.choice(NASTY)[:300]
    return Sent("GET", f"{parts.path}?{urlencode(asked)}")
