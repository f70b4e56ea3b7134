"""What is in the moulds and when it may come out, and what is out and not looked at yet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.db.models import Q

from production.models import Cast, Mix, Outcome
from production.queries.progress import due_out_at, still_in_moulds
from production.queries.wording import copies_words


@dataclass(frozen=True)
class MouldsDue:
    """The moulds of one mix that come out together. `is_about` while it is still being poured.

    `minutes` of hands for opening all of them.
    """

    mix_id: int
    number: int
    colour: str
    colour_hex: str
    silhouette: str
    moulds: str
    due_at: datetime
    is_about: bool
    minutes: int


@dataclass(frozen=True)
class ToJudge:
    """A mix with casts that are out and not looked at yet."""

    mix_id: int
    number: int
    colour: str
    waiting: int


@dataclass(frozen=True)
class CastOut:
    """One cast of a mix that is out of the mould, judged or not. Masses in mg; `photo` a row or None."""

    cast_id: int
    mould: str
    article: str
    silhouette: str
    copy_number: int
    out_at: datetime
    early_reason: str
    outcome: str
    reason: str
    fill_mg: int
    out_mg: int | None
    mark: str
    photo: Any

    @property
    def photo_words(self) -> str:
        """What its photo shows: "Ferry tray, scrap, lumps"."""
        return ", ".join(word for word in (self.mould, self.outcome, self.reason) if word)

    @property
    def asks_why(self) -> bool:
        """Whether it is a second or scrap without a reason yet."""
        return self.outcome in (Outcome.SECOND, Outcome.SCRAP) and not self.reason


@dataclass(frozen=True)
class MixOut:
    """A mix whose moulds are to be opened, or whose casts are looked at."""

    mix_id: int
    number: int
    colour: str
    colour_hex: str
    due: MouldsDue | None
    casts: tuple[CastOut, ...]

    @property
    def to_judge(self) -> tuple[CastOut, ...]:
        """Casts nobody looked at yet."""
        return tuple(cast for cast in self.casts if not cast.outcome)

    @property
    def judged(self) -> tuple[CastOut, ...]:
        """Casts that were looked at."""
        return tuple(cast for cast in self.casts if cast.outcome)


def moulds_due() -> tuple[MouldsDue, ...]:
    """What is in the moulds, by the time it may come out; mixes still being poured among them. One query."""
    rows = (
        Cast.objects.filter(Q(mix__undone_at=None), Q(still_in_moulds()) | Q(mix__poured_at=None))
        .filter(out_at=None, left_out_at=None)
        .select_related("mix__compound", "mix__colour", "mould_copy__mould")
        .order_by("mix", "position")
    )
    by_mix: dict[int, list[Cast]] = {}
    for row in rows:
        by_mix.setdefault(row.mix_id, []).append(row)
    return tuple(sorted((_moulds_due(casts) for casts in by_mix.values()), key=lambda one: one.due_at))


def casts_to_judge() -> tuple[ToJudge, ...]:
    """The mixes with casts that are out and not looked at. One query."""
    rows = Cast.objects.filter(out_at__isnull=False, outcome="", mix__undone_at=None).select_related(
        "mix__colour"
    )
    waiting: dict[int, list[Cast]] = {}
    for row in rows.order_by("mix__number"):
        waiting.setdefault(row.mix_id, []).append(row)
    return tuple(
        ToJudge(mix_id, casts[0].mix.number, casts[0].mix.colour.name, len(casts))
        for mix_id, casts in waiting.items()
    )


def mix_out(mix_id: int) -> MixOut | None:
    """The Out of the mould page of one mix, None when there is no such mix. Two queries."""
    mix = Mix.objects.filter(pk=mix_id, undone_at=None).select_related("colour", "compound").first()
    if mix is None:
        return None
    rows = list(
        mix.casts.filter(poured_at__isnull=False)
        .select_related(
            "mix__compound", "mix__colour", "mould_copy__mould", "part__article", "piece", "photo"
        )
        .order_by("position")
    )
    inside = [row for row in rows if row.out_at is None]
    return MixOut(
        mix_id=mix.pk,
        number=mix.number,
        colour=mix.colour.name,
        colour_hex=mix.colour.hex,
        due=_moulds_due(inside) if inside else None,
        casts=tuple(
            CastOut(
                cast_id=row.pk,
                mould=row.mould_copy.mould.name,
                article=row.part.article.name,
                silhouette=row.mould_copy.mould.silhouette,
                copy_number=row.mould_copy.number,
                out_at=row.out_at,
                early_reason=row.early_reason,
                outcome=row.outcome,
                reason=row.reason,
                fill_mg=row.fill_mg,
                out_mg=row.out_mg,
                mark=row.piece.mark if row.piece else "",
                photo=row.photo,
            )
            for row in rows
            if row.out_at is not None
        ),
    )


def _moulds_due(casts: Sequence[Cast]) -> MouldsDue:
    mix = casts[0].mix
    is_about = mix.poured_at is None
    if is_about:
        # Not poured yet: as if the working time were used up to its end.
        minutes = max(
            cast.mould_copy.mould.in_mould_minutes or mix.compound.open_after_minutes for cast in casts
        )
        due_at = mix.started_at + timedelta(minutes=mix.compound.working_time_minutes + minutes)
    else:
        due_at = max(due_out_at(cast) for cast in casts)
    return MouldsDue(
        mix_id=mix.pk,
        number=mix.number,
        colour=mix.colour.name,
        colour_hex=mix.colour.hex,
        silhouette=casts[0].mould_copy.mould.silhouette,
        moulds=moulds_words([(cast.mould_copy.mould.name, cast.mould_copy.number) for cast in casts]),
        due_at=due_at,
        is_about=is_about,
        minutes=sum(cast.mould_copy.mould.open_minutes for cast in casts),
    )


def moulds_words(moulds: Sequence[tuple[str, int]]) -> str:
    """Moulds given as (name, number) with their copies: "Ferry tray, copies 1 and 2"."""
    copies: dict[str, list[int]] = {}
    for name, number in moulds:
        copies.setdefault(name, []).append(number)
    if len(copies) == 1:
        return "".join(f"{name}, {copies_words(numbers)}" for name, numbers in copies.items())
    return ", ".join(f"{name} {copies_words(numbers)}" for name, numbers in copies.items())
