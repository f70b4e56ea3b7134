"""Taking back what was done in the stores: a reversing posting each time, so that nothing disappears."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Any

from inventory.errors import NothingToUndo
from inventory.models import Act, Container, CountReading, Delivery, Lot, OpeningRow, Posting, SupplierOrder
from inventory.operations.acts import Done, Tap, act, act_to_undo
from inventory.operations.ledger import reverse
from inventory.operations.rounds import take_up_again
from inventory.operations.tubs import lock_tubs, restore_states


@act("inventory.undo_posting", undoes="act_id")
def undo_posting(tap: Tap, *, act_id: int, offer_pieces: Callable[..., None] | None = None) -> Done:
    """Undo a decant, a count or a spill: its postings are reversed and its tubs stand as before.

    Changes: ledger, tubs.
    Again: answers the first sentence.
    Raises: NothingToUndo; NotEnoughInContainer when part of it was used since.
    """
    found = act_to_undo(act_id, "inventory.decant", "inventory.count_container", "inventory.note_spill")
    _take_back(tap, found)
    return Done(f"Undone: {found.said}"[:300])


@act("inventory.undo_round", undoes="act_id")
def undo_round(tap: Tap, *, act_id: int, offer_pieces: Callable[..., None] | None = None) -> Done:
    """Undo the end of a round, posted or laid down: its differences are reversed and it is open again.

    Changes: ledger, the round.
    Again: answers the first sentence.
    Raises: NothingToUndo; RoundEnded when another round began since; NotEnoughInContainer when part of what
    was found was used since.
    """
    found = act_to_undo(act_id, "inventory.post_round", "inventory.lay_round_down")
    take_up_again(found.answer["round_id"])
    _take_back(tap, found)
    return Done(f"Undone: {found.said}"[:300])


@act("inventory.undo_receipt", undoes="act_id")
def undo_receipt(tap: Tap, *, act_id: int, offer_pieces: Callable[..., None] | None = None) -> Done:
    """Undo a delivery taken in; the order it belonged to is open again. A tub made for it stays, empty.

    Changes: ledger, tubs, the order.
    Again: answers the first sentence.
    Raises: NothingToUndo, also when the rest of the order came in since; NotEnoughInContainer when part of
    the lot was used since.
    """
    found = act_to_undo(act_id, "inventory.receive_lot")
    if "delivery_id" in found.answer:
        _reopen_delivery(found.answer)
    _take_back(tap, found)
    return Done(f"Undone: {found.said}"[:300])


@act("inventory.undo_opening", undoes="act_id")
def undo_opening(tap: Tap, *, act_id: int, offer_pieces: Callable[..., None] | None = None) -> Done:
    """Undo what was taken in from a file; the same file may be read again. Its tubs stay, empty.

    Changes: ledger, the rows noted.
    Again: answers the first sentence.
    Raises: NothingToUndo; NotEnoughInContainer when part of it was used since.
    """
    found = act_to_undo(act_id, "inventory.keep_opening")
    OpeningRow.objects.filter(lot__in=found.answer["lot_ids"]).delete()
    _take_back(tap, found)
    return Done(f"Undone: {found.said}"[:300])


@act("inventory.undo_note", undoes="act_id")
def undo_note(tap: Tap, *, act_id: int, offer_pieces: Callable[..., None] | None = None) -> Done:
    """Undo what was noted without moving anything: an order placed, a price, lumps, a tub retired or made.

    Changes: the row it was about.
    Again: answers the first sentence.
    Raises: NothingToUndo when the order is in, or the tub was used since.
    """
    found = act_to_undo(act_id, *_NOTES)
    _NOTES[found.name](found.answer, tap.now)
    return Done(f"Undone: {found.said}"[:300])


def _take_back(tap: Tap, found: Act) -> None:
    """Reverse the postings of an act, the last first, and put its tubs back."""
    # The tubs are locked before their holdings, as everywhere.
    lock_tubs(int(tub_id) for tub_id in found.answer.get("tubs", {}))
    for posting in Posting.objects.filter(request_key=found.request_key).order_by("-pk"):
        reverse(tap, posting.pk, reason="undone")
    restore_states(found.answer.get("tubs", {}))


def _reopen_delivery(answer: dict[str, Any]) -> None:
    rest_id = answer["rest_id"]
    if rest_id and not Delivery.objects.filter(pk=rest_id, received_lot__isnull=True).delete()[0]:
        raise NothingToUndo("The rest of this order came in since. Undo that first.")
    Delivery.objects.filter(pk=answer["delivery_id"]).update(
        received_lot=None, amount=answer["ordered"], price_minor=answer["price_minor"]
    )


def _forget_delivery(answer: dict[str, Any], now: datetime) -> None:
    lines = Delivery.objects.filter(pk__in=answer["delivery_ids"])
    rows = list(lines.select_for_update())
    if any(line.received_lot_id for line in rows) or len(rows) < len(answer["delivery_ids"]):
        raise NothingToUndo("This order is in already. Undo the delivery first.")
    lines.delete()
    SupplierOrder.objects.filter(pk__in={line.order_id for line in rows if line.order_id}).delete()


def _forget_reading(answer: dict[str, Any], now: datetime) -> None:
    reading = CountReading.objects.filter(pk=answer["reading_id"], round__is_open=True)
    if not reading.delete()[0]:
        raise NothingToUndo("This reading was posted, or read anew since. Read the tub again.")


def _await_as_before(answer: dict[str, Any], now: datetime) -> None:
    still = Delivery.objects.filter(
        pk=answer["delivery_id"], expected_on=answer["is"], received_lot=None, cancelled_on=None
    )
    if not still.update(expected_on=answer["was"]):
        raise NothingToUndo("This order came in or changed since. Nothing was changed.")


def _await_again(answer: dict[str, Any], now: datetime) -> None:
    Delivery.objects.filter(pk=answer["delivery_id"], received_lot=None).update(cancelled_on=None)


def _price_as_before(answer: dict[str, Any], now: datetime) -> None:
    still = Lot.objects.filter(pk=answer["lot_id"], price_minor=answer["is"])
    if not still.update(price_minor=answer["was"]):
        raise NothingToUndo("Another price was noted since. Nothing was changed.")


def _forget_lumps(answer: dict[str, Any], now: datetime) -> None:
    Container.objects.filter(pk=answer["container_id"], is_lumpy=answer["is_lumpy"]).update(
        is_lumpy=answer["was_lumpy"]
    )


def _use_again(answer: dict[str, Any], now: datetime) -> None:
    Container.objects.filter(pk=answer["container_id"]).update(retired_on=None)


def _put_away(answer: dict[str, Any], now: datetime) -> None:
    """A tub made by mistake is retired, since its place may be in the ledger."""
    tub = Container.objects.get(pk=answer["container_id"])
    if tub.place.entries_in.exists():
        raise NothingToUndo(f"{tub.code} was used since. Retire it when it is empty.")
    Container.objects.filter(pk=tub.pk).update(retired_on=now.date())


_NOTES: dict[str, Callable[[dict[str, Any], datetime], None]] = {
    "inventory.read_tub": _forget_reading,
    "inventory.expect_delivery": _forget_delivery,
    "inventory.place_order": _forget_delivery,
    "inventory.put_off_delivery": _await_as_before,
    "inventory.call_off_delivery": _await_again,
    "inventory.price_lot": _price_as_before,
    "inventory.note_lumps": _forget_lumps,
    "inventory.retire_tub": _use_again,
    "inventory.make_tub": _put_away,
}

UNDO: dict[str, Callable[..., Done]] = {
    "inventory.decant": undo_posting,
    "inventory.count_container": undo_posting,
    "inventory.note_spill": undo_posting,
    "inventory.receive_lot": undo_receipt,
    "inventory.keep_opening": undo_opening,
    "inventory.post_round": undo_round,
    "inventory.lay_round_down": undo_round,
    **dict.fromkeys(_NOTES, undo_note),
}
