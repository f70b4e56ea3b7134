"""Taking a time that was seen into the plans, and putting it back."""

from __future__ import annotations

from inventory.errors import StudioError
from inventory.operations.acts import Done, Tap, act, act_to_undo
from inventory.ports import Offer
from production.errors import LaterActsDepend, NotThere, TimesChanged
from production.models import Compound, Mould, RouteStep
from production.queries.times_seen import (
    DRYING,
    FILLING,
    KINDS,
    MOULD_OPENING,
    OPENING,
    WAIT,
    Local,
    TimeSeen,
    minutes_words,
    times_seen,
)
from production.queries.wording import counted

MEDIAN, NINETIETH = "median", "90th percentile"
_Row = Mould | Compound | RouteStep
# Which table and field a kind of time is kept in.
_KEPT_IN: dict[str, tuple[type[Mould] | type[Compound] | type[RouteStep], str]] = {
    FILLING: (Mould, "fill_minutes"),
    MOULD_OPENING: (Mould, "in_mould_minutes"),
    OPENING: (Compound, "open_after_minutes"),
    DRYING: (Compound, "dry_hours"),
    WAIT: (RouteStep, "wait_minutes"),
}


@act("production.take_time_over")
def take_time_over(tap: Tap, *, kind: str, subject_id: int, seen: str, minutes: int, local: Local) -> Done:
    """Let plans reckon with a time that was seen: the median or the 90th percentile of it.

    Parameters: `kind` and `subject_id` as in `times_seen`; `seen` MEDIAN or NINETIETH; `minutes` what the
    page showed for it.

    Changes: production_mould, production_compound or production_routestep; the newest plan is old.
    Again: the first answer.
    Raises: NotThere; TimesChanged when other times were seen since the page was shown; StudioError when too
    few were seen, or it is reckoned with already.
    """
    row, field = _locked(kind, subject_id)
    time = next(
        (one for one in times_seen(now=tap.now, local=local) if (one.kind, one.subject_id) == (kind, row.pk)),
        None,
    )
    if time is None or time.spread is None or not time.spread.is_enough or seen not in (MEDIAN, NINETIETH):
        raise StudioError("Too little of it was seen yet. Three times tell it.", kind=kind)
    now_minutes = time.median_minutes if seen == MEDIAN else time.ninetieth_minutes
    assert now_minutes is not None
    if now_minutes != minutes:
        raise TimesChanged(
            f"{time.what} was seen again since: the {seen} is {minutes_words(kind, now_minutes)} now."
            " Open the page again.",
            minutes=now_minutes,
        )
    if minutes == time.used_minutes:
        raise StudioError(f"{time.what} is {time.used_words} already. Nothing was changed.", kind=kind)
    before = getattr(row, field)
    after = (minutes - time.beside_minutes) // time.step_minutes
    setattr(row, field, after)
    row.save(update_fields=[field])
    sentence = learnt_sentence(time, minutes)
    facts = {
        "kind": kind,
        "subject_id": row.pk,
        "what": time.what,
        "seen": seen,
        "times": time.spread.count,
        "before": before,
        "after": after,
        "was": time.used_words,
        "sentence": sentence,
        "taken_at": tap.now.isoformat(),
    }
    return Done(f"{sentence} It was {time.used_words}.", facts)


@act("production.undo_take_time_over", undoes="act_id")
def undo_take_time_over(tap: Tap, *, act_id: int, offer_pieces: Offer | None = None) -> Done:
    """Let plans reckon with the time before again.

    Raises: NothingToUndo; LaterActsDepend when it was changed again since.
    """
    answer = act_to_undo(act_id, "production.take_time_over").answer
    row, field = _locked(answer["kind"], answer["subject_id"])
    if getattr(row, field) != answer["after"]:
        raise LaterActsDepend(f"{answer['what']} was changed again since. Undo that first.")
    setattr(row, field, answer["before"])
    row.save(update_fields=[field])
    facts = {"what": answer["what"], "taken_at": answer["taken_at"]}
    return Done(f"{answer['what']} is {answer['was']} again.", facts)


def learnt_sentence(time: TimeSeen, minutes: int) -> str:
    """What the plan says of it: "Opening of quick compound now 95 min, learnt from 23 mixes."."""
    assert time.spread is not None
    times = counted(time.spread.count, time.noun)
    return f"{time.what} now {minutes_words(time.kind, minutes)}, learnt from {times}."


def _locked(kind: str, subject_id: int) -> tuple[_Row, str]:
    if kind not in KINDS:
        raise NotThere("There is no such time. Open the page again.", kind=kind)
    table, field = _KEPT_IN[kind]
    row = table.objects.select_for_update(no_key=True).filter(pk=subject_id).first()
    if row is None:
        raise NotThere("What it was seen of is gone. Open the page again.", subject_id=subject_id)
    return row, field
