"""A round of counting: begun, read tub by tub by whoever is there, and posted as a whole."""

from __future__ import annotations

from datetime import datetime

from django.db import IntegrityError, transaction
from django.utils.timezone import localtime

from inventory.errors import ReadBefore, RoundChanged, RoundEnded, StudioError
from inventory.models import Container, CountReading, CountRound, Posting
from inventory.operations.acts import Done, Tap, act
from inventory.operations.counting import check_reason, content_read, moves_of_difference
from inventory.operations.ledger import post
from inventory.operations.tubs import lock_holdings, lock_tubs, take_tub
from inventory.queries.choosing import with_holdings
from inventory.queries.rounds import held_when_read, round_page
from inventory.queries.wording import alike, in_words

NOT_KNOWN = "not known"


@act("inventory.begin_round")
def begin_round(tap: Tap) -> Done:
    """Begin a round, or join the one that is under way.

    Changes: one round at most.
    Again: answers the first sentence.
    """
    try:
        # A savepoint, so that a round begun by another tap in this moment spoils nothing else.
        with transaction.atomic():
            found = CountRound.objects.create(begun_at=tap.happened_at, begun_by_id=tap.by)
    except IntegrityError:
        found = CountRound.objects.get(is_open=True)
        return Done("A round is under way. Go on with it.", {"round_id": found.pk})
    return Done("A round of counting began.", {"round_id": found.pk})


@act("inventory.read_tub")
def read_tub(
    tap: Tap,
    *,
    round_id: int,
    container_id: int,
    gross_mg: int | None = None,
    counted: int | None = None,
    reason: str = "",
    instead_of: int | None = None,
) -> Done:
    """Keep what the scale shows of one tub for the round; the ledger waits until the round is posted.

    Parameters: as `count_container`; `instead_of` the earlier reading of this tub that the page showed.
    Changes: one reading; an earlier one of the same tub makes way for it.
    Again: answers the first sentence.
    Raises: RoundEnded; ReadBefore when somebody read it since the page was shown; GrossBelowTare,
    NetAboveCapacity, ContainerRetired; StudioError without a reading, or for a reason that does not fit.
    """
    _lock_round(round_id)
    tub = take_tub(container_id)
    there = content_read(tub, gross_mg, counted)
    earlier = CountReading.objects.filter(round_id=round_id, container=tub).select_related("by").first()
    if earlier and earlier.pk != instead_of:
        raise ReadBefore(
            f"{tub.code} was read {localtime(earlier.read_at):%H:%M}"
            f"{f' by {earlier.by.get_username()}' if earlier.by else ''}:"
            f" {in_words(earlier.counted, tub.material.unit)}. Open it again to read it anew.",
            container=tub.code,
            reading_id=earlier.pk,
        )
    if earlier:
        earlier.delete()
    reading = CountReading.objects.create(
        round_id=round_id,
        container=tub,
        gross_mg=gross_mg,
        counted=there,
        reason=reason,
        read_at=tap.happened_at,
        by_id=tap.by,
    )
    should = _should(tub.pk, reading)
    if reason and there != should:
        check_reason(tub, reason, should, there)
    said = f"{tub.code}: {in_words(there, tub.material.unit)} read."
    if there != should:
        _, apart = alike(tub.material.unit, there, abs(there - should))
        said = f"{said[:-1]}, {apart} {'more' if there > should else 'less'} than it should hold."
    return Done(said, {"reading_id": reading.pk, "counted": there, "should": should})


@act("inventory.post_round")
def post_round(tap: Tap, *, round_id: int, shown: str) -> Done:
    """Post every difference of the round together, and end it. Tubs that were not read stay as they are.

    Each difference is what was read against what the tub held at that moment, and is taken from what it holds
    now, so that draws made since the reading stay. Parameters: `shown` names what the page showed.
    Changes: ledger (kind count) for each tub that differs; the round.
    Again: answers the first sentence.
    Raises: RoundEnded; RoundChanged when a reading or the ledger changed since the page; StudioError when
    nothing was read, a tub holds less by now than would come out, or a reason does not fit.
    """
    found = _lock_round(round_id)
    read = list(found.readings.order_by("pk"))
    if not read:
        raise StudioError("Nothing was read yet. Weigh a tub first, or lay the round down.")
    tubs = lock_tubs(row.container_id for row in read)
    holdings = lock_holdings(tub.place_id for tub in tubs.values())
    page = round_page(found)
    if page.shown != shown:
        raise RoundChanged("Something changed since this page was shown. Look again, then post.")
    for line in page.differing:
        if line.cannot_post:
            should, counted, now = alike(line.unit, line.should, line.counted, line.held)
            raise StudioError(
                f"{line.code} should have held {should} and {counted} was read; now it holds {now}, too"
                " little to take the difference off. Read it again.",
                container=line.code,
            )
        tub = tubs[line.container_id]
        reason = line.reason or NOT_KNOWN
        check_reason(tub, reason, line.should, line.counted)
        held = [(row.lot_id, row.amount) for row in holdings if row.place_id == tub.place_id]
        post(
            tap,
            Posting.Kind.COUNT,
            moves_of_difference(tub, held, line.difference, reason),
            reason=reason,
        )
    _end(found, tap.happened_at, is_posted=True)
    unread = len(page.tubs) - len(page.read)
    differ = len(page.differing)
    said = f"{len(page.read)} tubs counted" if len(page.read) > 1 else "1 tub counted"
    said += f", {differ} with a difference." if differ else ", none with a difference."
    if unread:
        said += f" {unread} not read: as before."
    return Done(said, {"round_id": found.pk, "tubs": {}})


@act("inventory.lay_round_down")
def lay_round_down(tap: Tap, *, round_id: int) -> Done:
    """End the round without posting anything; its readings are kept to look at.

    Changes: the round.
    Again: answers the first sentence.
    Raises: RoundEnded.
    """
    _end(_lock_round(round_id), tap.happened_at, is_posted=False)
    return Done("The round is laid down. Nothing was posted.", {"round_id": round_id})


def take_up_again(round_id: int) -> None:
    """Open a round again inside the act that undoes its end, unless another has begun.

    Raises: RoundEnded.
    """
    if CountRound.objects.filter(is_open=True).exists():
        raise RoundEnded("Another round has begun since. End that one first.")
    CountRound.objects.filter(pk=round_id).update(is_open=True, is_posted=False, ended_at=None)


def _lock_round(round_id: int) -> CountRound:
    found = CountRound.objects.select_for_update().filter(pk=round_id).first()
    if found is None or not found.is_open:
        raise RoundEnded("This round has ended. Begin another.", round_id=round_id)
    return found


def _should(container_id: int, reading: CountReading) -> int:
    tub = with_holdings(Container.objects.filter(pk=container_id)).get()
    return held_when_read([(tub, reading)])[container_id]


def _end(found: CountRound, at: datetime, *, is_posted: bool) -> None:
    CountRound.objects.filter(pk=found.pk).update(is_open=False, is_posted=is_posted, ended_at=at)
