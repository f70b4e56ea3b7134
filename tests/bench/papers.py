"""`manage.py bench papers`: slips one by one and many in one document, and the trace of a lot.

On a throw-away SQLite file with the demo in it. Each document is set in a process of its own, so that its
memory is its own.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from datetime import timedelta
from pathlib import Path
from typing import Any

SLIPS, SMALL_SLIPS = (50, 500), (5, 10)
PIECES, SMALL_PIECES = 10_000, 200
PIECES_PER_MIX = 10
SINGLY = 10


def run(arguments: Sequence[str]) -> int:
    """Measure and print a table; with "--small" few slips and pieces, to try the bench itself."""
    is_small = "--small" in arguments
    slips, pieces = (SMALL_SLIPS, SMALL_PIECES) if is_small else (SLIPS, PIECES)
    with tempfile.TemporaryDirectory(prefix="shopfloor-bench-") as folder:
        Path(folder, "static").mkdir()
        environment = {
            **os.environ,
            "STUDIO_DIR": folder,
            "STATICFILES_BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage",
            "DJANGO_SETTINGS_MODULE": "shopfloor.settings",
        }
        environment.pop("DATABASE_URL", None)
        tasks = [
            ("fill", max(slips), pieces),
            ("singly", SINGLY, 0),
            *(("together", one, 0) for one in slips),
        ]
        for name, count, more in [*tasks, ("trace", pieces, 0)]:
            command = [sys.executable, "-m", "tests.bench.papers", name, str(count), str(more)]
            if status := subprocess.call(command, env=environment):
                return status
    return 0


def _fill(orders: int, pieces: int) -> None:
    """So many open orders of two ready pieces, and pieces of one lot, straight into the tables."""
    from django.core.management import call_command
    from django.db import transaction

    from inventory.arithmetic.codes import make_piece_mark
    from inventory.models import Container, Lot, Posting
    from orders.models import Assignment, Customer, Order, OrderLine
    from production.models import Article, Cast, Mix, MixDraw, Piece
    from shopfloor.journeys.demo.loading import load_demo
    from shopfloor.studio.port import LiveStudio

    call_command("migrate", verbosity=0)
    now = LiveStudio().now()
    load_demo(now=now, folder=Path(os.environ["STUDIO_DIR"]))
    article = Article.objects.filter(is_candle=False).order_by("pk").first()
    assert article is not None
    colour, part = article.colours.order_by("pk").first(), article.parts.order_by("pk").first()
    tub, posting = Container.objects.filter(material=part.compound.powder).first(), Posting.objects.first()
    assert colour and part and tub and posting
    out_at = now - timedelta(days=9)
    with transaction.atomic():
        lot = Lot.objects.create(material=tub.material, code="BENCH", received_on=out_at.date(), amount=1)
        mixes = Mix.objects.bulk_create(
            Mix(
                number=500_000 + number, compound=part.compound, colour=colour, powder_mg=1, water_mg=1,
                dry_mg_per_ul=1.5, started_at=out_at, poured_at=out_at,
            )
            for number in range(-(-pieces // PIECES_PER_MIX))
        )  # fmt: skip
        MixDraw.objects.bulk_create(
            MixDraw(mix=mix, container=tub, lot=lot, material=tub.material, posting=posting, amount=1)
            for mix in mixes
        )
        made = Piece.objects.bulk_create(
            Piece(
                mark=make_piece_mark(900_000 + number), article=article, colour=colour, out_at=out_at,
                last_step_at=out_at, ready_at=out_at, steps_done=article.route.steps.count(),
            )
            for number in range(pieces)
        )  # fmt: skip
        copy = part.mould.copies.order_by("number").first()
        Cast.objects.bulk_create(
            Cast(
                mix=mixes[number // PIECES_PER_MIX], part=part, mould_copy=copy, piece_colour=colour,
                position=number % PIECES_PER_MIX + 1, fill_mg=1, poured_at=out_at, out_at=out_at,
                outcome="good", piece=piece,
            )
            for number, piece in enumerate(made)
        )  # fmt: skip
        people = Customer.objects.bulk_create(
            Customer(name=f"Invented {number}", address=f"{number + 1} Invented Row\nNowhere\nLS1 1AA")
            for number in range(orders)
        )
        kept = Order.objects.bulk_create(
            Order(
                number=f"BENCH-{number}", customer=customer, ordered_on=out_at.date(),
                ship_by=now.date() - timedelta(days=30),
            )
            for number, customer in enumerate(people)
        )  # fmt: skip
        lines = OrderLine.objects.bulk_create(
            OrderLine(order=order, article=article, colour=colour, quantity=2) for order in kept
        )
        free = iter(made)
        Assignment.objects.bulk_create(
            Assignment(piece=piece, line=line)
            for line in lines
            for _, piece in zip(range(2), free, strict=False)
        )


def _singly(count: int) -> None:
    client, url = _client(), "/orders/order/BENCH-{}/packing-slip/"
    client.get(url.format(0))
    began, cpu = time.perf_counter(), time.process_time()
    for number in range(1, count + 1):
        assert client.get(url.format(number % 5)).content.startswith(b"%PDF")
    _say(
        "slips, one document each",
        f"{count / (time.perf_counter() - began):.1f} a second, "
        f"{(time.process_time() - cpu) / count:.2f} s CPU each",
    )


def _together(count: int) -> None:
    from shopfloor.journeys.day_papers import SLIPS as SLIPS_OF_A_DAY
    from shopfloor.journeys.day_papers import TEMPLATES, day_parcels, paper_contexts
    from shopfloor.studio.papers import long_paper_pdf, pdf_maker
    from shopfloor.studio.port import LiveStudio

    studio = LiveStudio()
    pdf_maker()
    before = _memory_mb()
    began, cpu = time.perf_counter(), time.process_time()
    day = studio.local(studio.now()).date() - timedelta(days=20)
    parcels = day_parcels(day, now=studio.now(), home="GB")[:count]
    read = time.perf_counter() - began
    contexts = paper_contexts(SLIPS_OF_A_DAY, parcels, studio, at_once=25)
    pdf = long_paper_pdf(TEMPLATES[SLIPS_OF_A_DAY], contexts, lambda done: None)
    took = time.perf_counter() - began
    assert pdf and len(parcels) == count
    _say(
        f"{count} slips in one document",
        f"{took:.1f} s ({read:.1f} s of it reading; {time.process_time() - cpu:.1f} s CPU), "
        f"{count / took:.1f} a second, {len(pdf) // 1024} kB, "
        f"memory at most {_memory_mb():.0f} MB ({before:.0f} MB before)",
    )


def _trace(pieces: int) -> None:
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    client = _client()
    client.get("/trace/")
    with CaptureQueriesContext(connection) as queries:
        began = time.perf_counter()
        page = client.get("/trace/?code=BENCH")
        took = time.perf_counter() - began
    # Counted at once: the next request empties the log.
    count = len(queries)
    assert f"{pieces} pieces" in page.content.decode()
    _say(
        f"trace of a lot, {pieces:,} pieces",
        f"page {took:.2f} s, {count} queries, {len(page.content) // 1024} kB",
    )
    began = time.perf_counter()
    rows = b"".join(client.get("/trace/pieces.csv?code=BENCH").streaming_content).count(b"\r\n") - 1
    assert rows == pieces, rows
    _say("the same as CSV", f"{rows:,} rows in {time.perf_counter() - began:.2f} s")


def _client() -> Any:
    from django.contrib.auth.models import User
    from django.test import Client

    client = Client(HTTP_HOST="localhost")
    owner = User.objects.filter(username="bench").first() or User.objects.create_superuser(
        "bench", password=None
    )
    client.force_login(owner, "django.contrib.auth.backends.ModelBackend")
    return client


def _memory_mb() -> float:
    """The most memory this process has held (kB on Linux)."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def _say(what: str, figure: str) -> None:
    print(f"| {what:<30} | {figure} |", flush=True)


if __name__ == "__main__":
    import django

    django.setup()
    task, amount, further = sys.argv[1], int(sys.argv[2]), int(sys.argv[3])
    if task == "fill":
        _fill(amount, further)
    else:
        {"singly": _singly, "together": _together, "trace": _trace}[task](amount)
