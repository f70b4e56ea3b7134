"""What the stores hold when they begin, taken in from a file."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from inventory.arithmetic.opening_rows import OpeningContent
from inventory.errors import NothingToKeep, RoundChanged, StudioError
from inventory.models import Container, Material, OpeningRow, Posting
from inventory.operations.acts import Done, Tap, act
from inventory.operations.ledger import Move, outside, post
from inventory.operations.places import new_tub
from inventory.operations.receiving import new_lot
from inventory.operations.tubs import take_tub
from inventory.queries.opening import preview_of_text


@act("inventory.keep_opening")
def keep_opening(
    tap: Tap, *, name: str, text: str, rows: Sequence[int], shown: str, currency: str, today: date
) -> Done:
    """Take the chosen rows of a file in: each a tub with a lot in it; materials that are new come with it.

    Parameters: `text` the file, `rows` the numbers chosen, `shown` names what the page showed.
    A tub that is there, for the material and empty, takes its row; else one is made.
    Changes: materials, tubs, lots, the ledger (kind receipt); a row noted for each, so that it comes once.
    Again: answers the first sentence.
    Raises: FileNotRead; RoundChanged when the stores changed since the page; NothingToKeep; StudioError as
    `new_tub`, naming the row.
    """
    preview = preview_of_text(name, text, currency=currency, today=today)
    if preview.shown != shown:
        raise RoundChanged("The stores changed since this page was shown. Look again, then keep.")
    chosen = preview.chosen(set(rows))
    if not chosen:
        raise NothingToKeep("No row is chosen that is new and whole. Nothing was added.")
    materials: dict[str, Material] = {}
    lot_ids, codes = [], []
    for row in chosen:
        try:
            lot_id, code = _take_in(tap, row, materials)
        except StudioError as fault:
            raise type(fault)(f"Row {row.row}: {fault.message}", **fault.facts) from fault
        lot_ids.append(lot_id)
        codes.append(code)
    count = f"{len(chosen)} row{'' if len(chosen) == 1 else 's'}"
    new = len({row.material.lower() for row in chosen if row.material_id is None})
    brought = f", {new} new material{'' if new == 1 else 's'}" if new else ""
    return Done(f"{preview.name}: {count} taken in{brought}."[:300], {"lot_ids": lot_ids, "codes": codes})


def _take_in(tap: Tap, row: OpeningContent, materials: dict[str, Material]) -> tuple[int, str]:
    material = _material(row, materials)
    tub = _tub(row, material)
    lot = new_lot(
        material=material,
        supplier_id=material.supplier_id,
        supplier_lot=row.supplier_lot,
        received_on=row.received_on,
        best_before=row.best_before,
        amount=row.amount,
        price_minor=row.price_minor,
    )
    OpeningRow.objects.create(digest=row.digest, lot=lot)
    post(
        tap,
        Posting.Kind.RECEIPT,
        [Move(lot.pk, outside("supplier").pk, tub.place_id, row.amount)],
        reason="opening",
    )
    return lot.pk, tub.code


def _tub(row: OpeningContent, material: Material) -> Container:
    """The tub of a row: one that is there and empty, or a new one."""
    there = Container.objects.filter(code=row.tub).first() if row.tub else None
    if there is not None:
        return take_tub(there.pk)
    return new_tub(
        material.pk,
        role=row.role,
        tare_mg=row.tare_mg,
        capacity=row.capacity,
        code=row.tub,
        stands_at=row.stands_at,
    )


def _material(row: OpeningContent, materials: dict[str, Material]) -> Material:
    """The material of a row, made when the file brings it; one of each name."""
    key = row.material.lower()
    if key not in materials:
        found = Material.objects.filter(name__iexact=row.material, retired_on__isnull=True).first()
        if found is None:
            found = Material.objects.create(name=row.material, kind=row.kind, unit=row.unit)
        materials[key] = found
    return materials[key]
