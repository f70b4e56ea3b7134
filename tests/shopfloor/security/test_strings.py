"""What people type is shown as they typed it, and does nothing: on pages, on papers, in files, in names.

Nothing that is typed or asked for breaks a page, and no page that a helper comes to has a price on it.
`FUZZ_SECONDS` in the environment looks for longer, with another seed each time.
"""

from __future__ import annotations

import csv
import io
import os
import re
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
from django.apps import apps
from django.conf import settings
from django.db import models, transaction
from django.test import Client

from shopfloor.journeys.demo.loading import load_demo
from shopfloor.studio.port import LiveStudio
from tests.house.test_django import all_routes
from tests.journeys.screens import Screen
from tests.shopfloor.security.fuzzing import fuzz, route_of

pytestmark = [pytest.mark.django_db, pytest.mark.once]
# In an element, in an attribute of either quote, as a template, and as a formula of a spreadsheet.
SHOT = "=<i id=shot>'\"{{7*7}}{%x%}"
RUNS = re.compile(r"<i id=shot|(?<!=)(?<!&quot;)=[\"']?<i|49\{%")
TEXTS = (models.CharField, models.TextField)
# Whose words are ours or a code with a meaning: the studio could not go on.
NOT_TYPED = {"Act", "Job", "Plan", "Photo", "Copy", "SignInLink", "CalendarAddress", "StudioSettings"}


LONGER = float(os.environ.get("FUZZ_SECONDS", "0"))
SECONDS = LONGER / 2 or 4
PRICE = re.compile(r"£\s?\d|\d\s?GBP|GBP\s?\d")
SEED = int(time.time()) if LONGER else 20261005


@pytest.fixture(scope="module")
def demo(
    django_db_setup: None, django_db_blocker: Any, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[None]:
    """The demo studio, loaded once for the tests here and rolled back after them."""
    with django_db_blocker.unblock(), transaction.atomic():
        load_demo(now=LiveStudio().now(), folder=tmp_path_factory.mktemp("demo"))
        yield
        transaction.set_rollback(True)


def test_nothing_typed_or_asked_for_breaks_a_page(demo: None, signed_in: Client, signed_in_helper: Client):
    for who, client in (("owner", signed_in), ("helper", signed_in_helper)):
        found = fuzz(client, seed=SEED, seconds=SECONDS)

        print(f"{who}, seed {SEED}: {len(found.pages)} pages, {len(found.forms)} forms, {dict(found.asked)}")
        assert "\n".join(f"{place}: {sent}" for place, sent in found.broken.items()) == ""
        assert len(found.forms) > 20
        assert found.asked.total() > 100
        if who == "helper":
            assert [page for page, text in found.texts.items() if PRICE.search(text)] == []


@pytest.fixture
def spoilt(demo: None, signed_in: Client) -> Client:
    """The demo studio, with SHOT written before every text that somebody typed, wherever it fits."""
    count = 0
    for model in apps.get_models():
        ours = model._meta.app_label in ("inventory", "production", "orders", "studio")
        if not ours or model.__name__ in NOT_TYPED:
            continue
        for field in model._meta.concrete_fields:
            typed = type(field) in TEXTS and not field.choices and not field.unique and not field.primary_key
            room = getattr(field, "max_length", None) or 999
            if typed and room >= 40 and not field.is_relation:
                count += _spoil(model, field.name)
    assert count > 100
    return signed_in


def _spoil(model: type[models.Model], name: str) -> int:
    """Write SHOT before one column; the ledger, which refuses every change, is left alone."""
    from django.db import DatabaseError
    from django.db.models import F, Value
    from django.db.models.functions import Concat

    try:
        with transaction.atomic():
            changed = model._base_manager.exclude(**{name: ""}).update(**{name: Concat(Value(SHOT), F(name))})
            return int(changed)
    except DatabaseError:
        return 0


def test_what_was_typed_runs_on_no_page_no_paper_and_in_no_spreadsheet(spoilt: Client):
    waiting = ["/" + address for address, _ in all_routes() if "<" not in address]
    seen: set[str] = set()
    files, shown, wrong = 0, 0, []
    while waiting:
        address = waiting.pop(0)
        route = route_of(urlsplit(address).path)
        if not route or route in seen or address.startswith(("/sign-", "/kept-taps")):
            continue
        seen.add(route)
        answer = spoilt.get(address, {"as": "page"} if "?" not in address else None)
        if answer.status_code >= 500:
            wrong.append(f"{address}: {answer.status_code}")
        if answer.status_code != 200:
            continue
        body = b"".join(answer.streaming_content) if answer.streaming else answer.content
        if "csv" in answer["Content-Type"]:
            files += 1
            wrong += _formulas(address, body.decode("utf-8-sig"))
        elif answer["Content-Type"].startswith("text/html"):
            page = body.decode()
            shown += "&lt;i id=shot&gt;" in page
            wrong += [
                f"{address}: {page[max(0, at.start() - 60) : at.end() + 40]!r}" for at in RUNS.finditer(page)
            ]
            links = [link for link, _ in Screen(answer, address).links if link.startswith("/")]
            waiting += [link.split("#")[0] for link in links]

    assert wrong == []
    assert shown > 15
    assert files >= 4


def _formulas(address: str, text: str) -> list[str]:
    cells = [cell for row in csv.reader(io.StringIO(text)) for cell in row]
    numbers = re.compile(r"-?[\d.,]+")
    return [
        f"{address}: {cell!r}"
        for cell in cells
        if cell.startswith(("=", "+", "-", "@", "\t", "\r")) and not numbers.fullmatch(cell)
    ]


def test_a_template_is_never_made_of_what_was_typed():
    """No page, paper or letter is built from text: templates are files of the studio."""
    made = re.compile(r"Template\(|from_string|engines\[|format_html\(f|\beval\(|\bexec\(")
    found = [
        f"{path.relative_to(settings.BASE_DIR)}: {match[0]}"
        for package in ("inventory", "production", "orders", "shopfloor")
        for path in (Path(settings.BASE_DIR) / package).rglob("*.py")
        for match in made.finditer(path.read_text(encoding="utf-8"))
    ]

    assert found == []


@pytest.mark.parametrize(
    "number", ["../../secret", "..%2f..%2fsecret", 'x"; filename="y.exe', "a\r\nSet-Cookie: b=c"]
)
def test_no_address_climbs_out_of_its_folder_and_no_name_breaks_a_header(signed_in, studio_open, number):
    for address in (
        f"/stores/photos/{number}/small/",
        f"/orders/order/{number}/packing-slip/",
        f"/o/{number}",
    ):
        answer = signed_in.get(address)
        assert answer.status_code in (302, 400, 404)
        assert "b=c" not in answer.headers.get("Set-Cookie", "")
        assert "secret" not in answer.headers.get("Content-Disposition", "")
