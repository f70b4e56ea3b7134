"""What would help a late demand and what would not, in words, with where it is done."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from production.models import LateOffer, PlannedLine
from production.queries.late_looks import LateLookRead, LateOfferRead
from production.queries.reason_words import day, number_words
from production.queries.wording import counted, listed

MOST_HELPS = 4
MOST_NAMED = 2
Kind = LateOffer.Kind


@dataclass(frozen=True)
class Help:
    """One thing that would help: what, and the words and place of the plate that leads there.

    `place` is an address name of this or a lower app, or an area ("studio", "orders") to be looked up above;
    "" where there is nothing to press.
    """

    text: str
    label: str
    place: str
    place_argument: int | None = None


# The plate's words and place; a mould's page is found by its number.
PLATES: dict[str, tuple[str, str]] = {
    Kind.COPY: ("Note the moulds", "production:mould-copies"),
    Kind.HOUR: ("Add hands", "studio"),
    Kind.SATURDAYS: ("Add Saturday hands", "studio"),
    Kind.PAIR: ("Add hands", "studio"),
    Kind.EARLIER: ("What will run out", "inventory:stores"),
    Kind.JUG: ("", ""),
    Kind.PARTS: ("Ship in two parts", "orders"),
}
NAMES = {
    Kind.COPY: "one more copy of the mould {name}",
    Kind.HOUR: "an hour more a day",
    Kind.SATURDAYS: "Saturday hands",
    Kind.PAIR: "one more pair of hands",
    Kind.EARLIER: "{name} two days earlier",
    Kind.JUG: "a jug half as big again",
    Kind.PARTS: "two parts, {pieces} of {quantity} first",
}


def helps_for(late: Sequence[PlannedLine], look: LateLookRead | None, some_in_time: bool) -> tuple[Help, ...]:
    """What would help a demand with these late lines, what saves most first.

    Before a look only what needs none: `some_in_time` says that some of it can be sent on its day.
    """
    found = [_help(one, late) for one in look.offers if _helps(one, late)][:MOST_HELPS] if look else []
    packed = [line.packed_at for line in late if line.packed_at]
    if some_in_time and packed and not any(help.place == "orders" for help in found):
        text = f"Send what is ready in time, the rest {day(max(packed))}."
        found.append(Help(text, "Ship in two parts", "orders"))
    return tuple(found)


def would_not_help(late: Sequence[PlannedLine], look: LateLookRead | None) -> str:
    """What was tried and would not help a demand, "" where nothing was."""
    if look is None:
        return ""
    vain = [one.offer for one in look.offers if _is_about(one.offer, late, look) and not _helps(one, late)]
    said = []
    if vain:
        words = listed([_name(offer) for offer in vain])
        said.append(f"{words[0].upper()}{words[1:]} would not help.")
    saving = max(vain, key=lambda offer: offer.mixes_saved, default=None)
    if saving is not None and saving.mixes_saved > 0:
        name = _name(saving)
        said.append(f"{name[0].upper()}{name[1:]} would save {counted(saving.mixes_saved, 'mix')}.")
    if look.look.enough:
        enough = look.look.enough
        of = listed(enough) if len(enough) <= MOST_NAMED else "of the other powders and materials"
        said.append(f"More {of} would not help: what there is lasts.")
    return " ".join(said)


def _is_about(offer: LateOffer, late: Sequence[PlannedLine], look: LateLookRead) -> bool:
    """Whether an offer could be meant for these lines: their moulds, their pieces, or what all share."""
    if offer.kind == Kind.COPY:
        return any(offer.mould_id in look.moulds.get(line.article_id, ()) for line in late)
    return offer.line_id is None or any(offer.line_id == line.pk for line in late)


def _helps(one: LateOfferRead, late: Sequence[PlannedLine]) -> bool:
    return one.offer.points_saved > 0 and any(line.pk in one.helped for line in late)


def _help(one: LateOfferRead, late: Sequence[PlannedLine]) -> Help:
    offer = one.offer
    label, place = PLATES[offer.kind]
    name = _name(offer)
    text = f"{name[0].upper()}{name[1:]}: {_effect(one, late)}; {_saved(offer)}."
    return Help(text, label, place, offer.mould_id if offer.kind == Kind.COPY else None)


def _name(offer: LateOffer) -> str:
    quantity = offer.line.quantity if offer.line else 0
    return NAMES[Kind(offer.kind)].format(name=offer.name, pieces=offer.pieces, quantity=quantity)


def _effect(one: LateOfferRead, late: Sequence[PlannedLine]) -> str:
    """What becomes of the latest of these lines."""
    if one.offer.kind == Kind.PARTS:
        return "the first leave in time" if one.offer.pieces > 1 else "the first leaves in time"
    helped = [one.helped[line.pk] for line in late if line.pk in one.helped]
    others = [line for line in late if line.pk not in one.helped]
    if not others and all(line.days_after == 0 for line in helped):
        return "in time"
    in_time = [line for line in helped if line.days_after == 0]
    if in_time:
        return f"{number_words(len(in_time))} of {number_words(len(late))} boards in time"
    best = max(helped, key=lambda line: (line.days_before or 0) - (line.days_after or 0))
    before = "never" if best.days_before is None else number_words(best.days_before)
    days = "day" if best.days_after == 1 else "days"
    return f"{number_words(best.days_after or 0)} {days} late instead of {before}"


def _saved(offer: LateOffer) -> str:
    points = counted(offer.points_saved, "point")
    if offer.mixes_saved > 0:
        return f"{points} and {counted(offer.mixes_saved, 'mix')} saved"
    if offer.mixes_saved < 0:
        # Found with few tries: with more of them some of these mixes may go again.
        return f"{points} saved, at most {counted(-offer.mixes_saved, 'mix')} more"
    return f"{points} saved"
