"""Years of a studio's ledger, written by the database itself so that a million entries take seconds.

Every lot comes in, is decanted ten times with lumps sieved out, and is drawn from until nothing is left: a
hundred entries, each in a posting of its own, each but the lumps with an act of its own. Sixty materials take
their lots in turn, and 40,000 entries are a year.
"""

from __future__ import annotations

import json
from datetime import datetime, timedelta

from django.core.management.color import no_style
from django.db import connection, transaction

from inventory.models import Act, Container, Entry, Holding, Lot, Material, Place, Posting, Supplier

MATERIALS = 60
ENTRIES_PER_LOT = 100
ENTRIES_PER_YEAR = 40_000
DECANTS = 10
DRAWS = ENTRIES_PER_LOT - 1 - 2 * DECANTS
DRAW_MG = 100_000
LUMPS_MG = 10_000
DECANT_MG = DRAWS * DRAW_MG // DECANTS
LOT_MG = DRAWS * DRAW_MG + DECANTS * LUMPS_MG
KG = 1_000_000
# The figures of a posting within its lot, as SQL of its place p: 0 the receipt, then decant and lumps by
# turns, then draws. And what only one of the two databases understands.
KIND = (
    f"CASE WHEN p = 0 THEN 'receipt' WHEN p > {2 * DECANTS} THEN 'draw' WHEN p % 2 = 1 THEN 'decant'"
    " ELSE 'sieve loss' END"
)
AMOUNT = (
    f"CASE WHEN p = 0 THEN {LOT_MG} WHEN p > {2 * DECANTS} THEN {DRAW_MG} WHEN p % 2 = 1 THEN {DECANT_MG}"
    f" ELSE {LUMPS_MG} END"
)
IS_LUMPS = f"p BETWEEN 1 AND {2 * DECANTS} AND p % 2 = 0"
DIALECT = {
    "sqlite": {"time": "datetime({}, 'unixepoch')", "key": "printf('%032x', {})", "json": "{}"},
    "postgresql": {
        "time": "to_timestamp({})",
        "key": "lpad(to_hex({}), 32, '0')::uuid",
        "json": "({})::jsonb",
    },
}


def found_studio() -> list[Container]:
    """Sixty powders of one supplier, each with a bulk and a working tub; answers the bulk tubs."""
    supplier = Supplier.objects.create(name="Mudlark Minerals", lead_working_days=4)
    tubs = []
    for number in range(MATERIALS):
        material = Material.objects.create(
            name=f"Powder {number + 1}",
            kind="powder",
            unit="g",
            supplier=supplier,
            safety_level=2 * KG,
            pack_size=25 * KG,
            opened_life_days=60,
        )
        for role, letter in (("bulk", "B"), ("working", "Q")):
            tubs.append(
                Container.objects.create(
                    code=f"{letter}{number + 1}",
                    role=role,
                    tare_mg=KG,
                    capacity=50 * KG,
                    material=material,
                    place=Place.objects.create(kind="container"),
                )
            )
    return tubs[::2]


def fill_years(entries: int, now: datetime) -> int:
    """At least so many entries, the last of them up to now; answers how many."""
    lots_count = -(-entries // ENTRIES_PER_LOT)
    seconds = 365 * 86_400 / ENTRIES_PER_YEAR
    start = now - timedelta(seconds=seconds * lots_count * ENTRIES_PER_LOT)
    tubs = {tub.code: tub for tub in Container.objects.all()}
    outside = {kind: Place.objects.get_or_create(kind=kind)[0].pk for kind in ("supplier", "mix", "waste")}
    with transaction.atomic():
        lots = Lot.objects.bulk_create(
            Lot(
                material=tubs[f"B{number % MATERIALS + 1}"].material,
                code=f"OLD-{number}",
                received_on=(start + timedelta(seconds=seconds * number * ENTRIES_PER_LOT)).date(),
                amount=LOT_MG,
                price_minor=1500 + number % 300,
                supplier_id=tubs["B1"].material.supplier_id,
            )
            for number in range(lots_count)
        )
        Holding.objects.bulk_create(
            (
                Holding(lot=lot, place_id=tubs[f"{letter}{number % MATERIALS + 1}"].place_id, amount=0)
                for number, lot in enumerate(lots)
                for letter in "BQ"
            ),
            batch_size=5000,
        )
        _write(lots_count, lots[0].pk, start, seconds, tubs, outside)
    return lots_count * ENTRIES_PER_LOT


def _write(
    lots_count: int,
    first_lot: int,
    start: datetime,
    seconds: float,
    tubs: dict[str, Container],
    outside: dict[str, int],
) -> None:
    """Postings, entries and acts by three statements; their numbers go up with their time."""
    said = DIALECT[connection.vendor]
    first_posting = (Posting.objects.order_by("-pk").values_list("pk", flat=True).first() or 0) + 1
    number = f"(l * {ENTRIES_PER_LOT} + p)"
    happened = said["time"].format(f"{start.timestamp():.0f} + {number} * {seconds}")
    # Lumps belong to the act of their decant.
    key = said["key"].format(f"{number} + 1 - CASE WHEN {IS_LUMPS} THEN 1 ELSE 0 END")
    counted = (
        f"WITH RECURSIVE lots(l) AS (SELECT 0 UNION ALL SELECT l + 1 FROM lots WHERE l + 1 < {lots_count}),"
        f" places(p) AS (SELECT 0 UNION ALL SELECT p + 1 FROM places WHERE p + 1 < {ENTRIES_PER_LOT})"
    )
    tub = {
        letter: "CASE l % {} {} END".format(
            MATERIALS,
            " ".join(f"WHEN {n} THEN {tubs[f'{letter}{n + 1}'].place_id}" for n in range(MATERIALS)),
        )
        for letter in "BQ"
    }
    draw = f"p > {2 * DECANTS}"
    source = f"CASE WHEN p = 0 THEN {outside['supplier']} WHEN {draw} THEN {tub['Q']} ELSE {tub['B']} END"
    destination = (
        f"CASE WHEN p = 0 THEN {tub['B']} WHEN {draw} THEN {outside['mix']} WHEN p % 2 = 1 THEN {tub['Q']}"
        f" ELSE {outside['waste']} END"
    )
    pk = "CASE l % {} {} END".format(
        MATERIALS, " ".join(f"WHEN {n} THEN {tubs[f'B{n + 1}'].pk}" for n in range(MATERIALS))
    )
    states = {"TUB": {"after": {"opened_at": None, "openings_count": 0}}}
    form = json.dumps({"out": DECANT_MG + LUMPS_MG, "lumps": LUMPS_MG, "source_id": 0, "tubs": states})
    form = form.replace('"openings_count": 0', '"openings_count": TIMES').replace('_id": 0', '_id": TUB')
    decanted = f"replace(replace('{form}', 'TUB', CAST({pk} AS TEXT)), 'TIMES', CAST(p / 2 AS TEXT))"
    answer = said["json"].format(f"CASE WHEN p BETWEEN 1 AND {2 * DECANTS} THEN {decanted} ELSE '{{}}' END")
    with connection.cursor() as cursor:
        cursor.execute(
            "INSERT INTO inventory_posting (id, kind, happened_at, recorded_at, reason, request_key)"
            f" {counted} SELECT {first_posting} + {number}, {KIND}, {happened}, {happened},"
            f" CASE WHEN {IS_LUMPS} THEN 'lumps' ELSE '' END, {key} FROM lots, places ORDER BY l, p"
        )
        cursor.execute(
            "INSERT INTO inventory_entry (posting_id, lot_id, source_id, destination_id, amount)"
            f" {counted} SELECT {first_posting} + {number}, {first_lot} + l, {source}, {destination},"
            f" {AMOUNT} FROM lots, places ORDER BY l, p"
        )
        cursor.execute(
            "INSERT INTO inventory_act"
            " (request_key, name, content_digest, said, answer, happened_at, recorded_at)"
            f" {counted} SELECT {key}, 'inventory.' || {KIND}, '', 'Lot ' || l || ', ' || {KIND}, {answer},"
            f" {happened}, {happened} FROM lots, places WHERE NOT ({IS_LUMPS}) ORDER BY l, p"
        )
        for statement in connection.ops.sequence_reset_sql(no_style(), [Posting, Entry, Act]):
            cursor.execute(statement)
