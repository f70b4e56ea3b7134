"""Out of the mould."""

from __future__ import annotations

from inventory.operations.acts import Done, Tap, act
from production.errors import AlreadyDone, MixNotSetting, TooEarlyToOpen
from production.models import Cast
from production.operations.locking import lock_casts_of, lock_mix
from production.queries.progress import due_out_at
from production.queries.wording import clock, copies_words, listed, span_words, whole_minutes

EARLY_REASON_LONGEST = 80


@act("production.open_moulds")
def open_moulds(tap: Tap, *, mix_id: int, early_reason: str = "") -> Done:
    """Note that every poured cast of the mix is out of its mould; the copies are damp from then on.

    `early_reason` says why it is opened before its time; it is kept with the casts.

    Changes: production_cast.
    Again: the first answer.
    Raises: AlreadyDone; MixNotSetting while the mix is being poured, or with nothing in the moulds;
    TooEarlyToOpen with `due_at` unless a reason is given.
    """
    mix = lock_mix(mix_id)
    casts = [row for row in lock_casts_of(mix) if row.poured_at is not None]
    if mix.poured_at is None:
        raise MixNotSetting(f"Mix {mix.number} is still being poured. Fill or stop it first.", mix=mix.number)
    if not casts:
        raise MixNotSetting(f"Nothing of mix {mix.number} is in the moulds.", mix=mix.number)
    inside = [row for row in casts if row.out_at is None]
    if not inside:
        out_at = max(row.out_at for row in casts if row.out_at)
        raise AlreadyDone(f"Already out of the mould {clock(out_at)}.", at=out_at)
    due_at = max(due_out_at(row) for row in inside)
    is_early = tap.happened_at < due_at
    if is_early and not early_reason.strip():
        minutes = whole_minutes(due_at - tap.happened_at)
        raise TooEarlyToOpen(
            f"{span_words(minutes)} early. Soft pieces tear. Open now?",
            due_at=due_at,
            minutes=minutes,
        )
    if tap.happened_at < mix.poured_at:
        raise MixNotSetting(
            f"Mix {mix.number} was poured {clock(mix.poured_at)}. Type a time after that.", mix=mix.number
        )
    Cast.objects.filter(pk__in=[row.pk for row in inside]).update(
        out_at=tap.happened_at, early_reason=early_reason.strip()[:EARLY_REASON_LONGEST] if is_early else ""
    )
    said = f"Mix {mix.number} out of the mould {clock(tap.happened_at)}: {moulds_words(inside)}."
    if is_early:
        said += f" {span_words(whole_minutes(due_at - tap.happened_at))} early: {early_reason.strip()}."
    return Done(said, {"mix_id": mix.pk, "cast_ids": [row.pk for row in inside]})


def moulds_words(casts: list[Cast]) -> str:
    """The moulds of some casts with their copies: "Ferry tray copies 1 and 2"."""
    copies: dict[str, list[int]] = {}
    for cast in casts:
        copies.setdefault(cast.mould_copy.mould.name, []).append(cast.mould_copy.number)
    return listed([f"{mould} {copies_words(numbers)}" for mould, numbers in copies.items()])
