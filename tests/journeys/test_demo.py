"""The demo studio, whenever it is opened: something of everything, no fault, and the same each time."""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from django.contrib.auth.models import Group, User
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import call_command
from django.db import transaction
from django.test import Client

from inventory.models import Act, Entry
from inventory.roles import OWNER_GROUP
from production.models import Piece, PlannedMix
from shopfloor.journeys.demo.loading import load_demo
from shopfloor.studio.port import LiveStudio
from tests.journeys.opening import Clock, look_round
from tests.journeys.screens import Visitor

pytestmark = pytest.mark.django_db

WEDNESDAY_MORNING = datetime(2026, 10, 7, 8, 10, tzinfo=UTC)
# The night after the clocks went back.
SUNDAY_NIGHT = datetime(2026, 10, 25, 22, 40, tzinfo=UTC)


def _life() -> list[object]:
    """What happened in the studio, without keys and codes, which count on after a load was taken back."""
    return [
        list(Act.objects.values_list("name", "happened_at")),
        list(Entry.objects.order_by("id").values_list("amount", "lot__supplier_lot", "posting__kind")),
        list(Piece.objects.order_by("id").values_list("article", "colour", "outcome", "out_at", "ready_at")),
        list(PlannedMix.objects.order_by("id").values_list("starts_at", "poured_by", "colour")),
    ]


@dataclass
class Demo:
    """The demo as it was opened at a moment, the order file that came with it, and what happened in it."""

    moment: datetime
    file: Path
    owner: User
    lives: list[list[object]]


@pytest.fixture(
    scope="module",
    params=[
        pytest.param(WEDNESDAY_MORNING, marks=pytest.mark.either),
        pytest.param(SUNDAY_NIGHT, marks=pytest.mark.once),
    ],
    ids=["Wednesday morning", "Sunday night"],
)
def demo(
    request: pytest.FixtureRequest,
    django_db_setup: None,
    django_db_blocker: Any,
    hashed_password: str,
    tmp_path_factory: pytest.TempPathFactory,
) -> Iterator[Demo]:
    """Loaded for all tests of a moment, and rolled back after them; on the Sunday it is loaded twice."""
    clock = Clock(request.param)
    lives = []
    with pytest.MonkeyPatch.context() as patch, django_db_blocker.unblock(), transaction.atomic():
        patch.setattr(LiveStudio, "now", lambda studio: clock.at)
        owner = User.objects.create(username="owner of the demo", password=hashed_password)
        owner.groups.add(Group.objects.get_or_create(name=OWNER_GROUP)[0])
        if request.param == SUNDAY_NIGHT:
            before = transaction.savepoint()
            load_demo(now=clock.at, folder=tmp_path_factory.mktemp("demo"), by=owner.pk)
            lives.append(_life())
            transaction.savepoint_rollback(before)
        file = load_demo(now=clock.at, folder=tmp_path_factory.mktemp("demo"), by=owner.pk)
        lives.append(_life())
        look_round(clock)
        yield Demo(clock.at, file, owner, lives)
        transaction.set_rollback(True)


@pytest.fixture
def visitor(demo: Demo) -> Visitor:
    """The owner at the pages of the demo."""
    client = Client()
    client.force_login(demo.owner)
    return Visitor(client)


@pytest.mark.once
@pytest.mark.parametrize("demo", [SUNDAY_NIGHT], ids=["Sunday night"], indirect=True)
def test_the_same_moment_gives_the_same_demo(demo: Demo):
    first, second = demo.lives
    assert first == second


def test_there_is_something_to_pour_open_coat_pack_and_worry_about(visitor: Visitor):
    bench = visitor.open("/bench/")
    assert bench.has_plate("Out of the mould")
    weigh = visitor.follow(bench.reads(r"Weigh mix \d+")[0])
    assert weigh.has_plate("Powder in: start"), weigh.words
    shelf = visitor.open("/shelf/")
    assert shelf.reads(r"(Coat \d|Fill) now (dry|due) since")
    pack = visitor.follow(shelf.reads(r"Pack \d{4}")[0])
    if pack.says("Choose a piece by hand"):
        # The shelf knows the order and not its packing table, which is one plate further.
        pack = visitor.follow(next(label for label in pack.labels() if label.startswith("Pack")))
    assert pack.reads(r"0 of \d in the box\. \w+ to go")
    visitor.open("/stores/").must_say("Decant")
    notices = visitor.open("/notices/")
    assert notices.reads(r"due out .*\d\d:\d\d")
    assert notices.reads(r"Order (today|by \w{3} \d+)")


def test_an_order_is_late_and_the_week_says_what_held_it(visitor: Visitor):
    week = visitor.open("/week/")
    late = week.reads(r"(\d{4}): (\d of )?\d [\w ,-]+ in \w+ leaves? \w+ days? late [A-Z]\w+ [^.]+\.")

    assert week.reads(r"\w+ orders? will leave late")
    assert visitor.open("/orders/").reads(late[1] + r" .*?late \d+ d, see why")


def test_every_page_opens_and_the_ledger_agrees(visitor: Visitor):
    areas = "bench week week/table week/mix-sheet shelf orders orders/closed stores stores/tubs moulds range"

    codes = {area: visitor.open(f"/{area}/").code for area in [*areas.split(), "trace", "studio", "notices"]}

    assert set(codes.values()) == {200}, codes
    said = io.StringIO()
    call_command("verify_ledger", stdout=said)
    assert said.getvalue().startswith("The ledger agrees")


def test_its_order_file_imports_clean_and_once(visitor: Visitor, demo: Demo):
    file = demo.file
    visitor.open("/orders/import/")
    read = visitor.press("Read the file", file=SimpleUploadedFile(file.name, file.read_bytes(), "text/csv"))
    read.must_say("6 rows read, none to mend")
    visitor.press("Keep 4 orders, 6 rows").must_say("4 orders, 6 rows kept.")

    visitor.open("/orders/import/")
    again = visitor.press("Read the file", file=SimpleUploadedFile(file.name, file.read_bytes(), "text/csv"))

    again.must_say("Nothing added.")
