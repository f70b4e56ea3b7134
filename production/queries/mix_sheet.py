"""What is still to be mixed this week, day by day, for the paper beside the scale."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from production.models import Compound
from production.queries.mix_rows import MixRow, mix_rows
from production.queries.plans import mixes_ahead


@dataclass(frozen=True)
class SheetDay:
    """One day with its mixes in order of time."""

    day: date
    mixes: tuple[MixRow, ...]

    @property
    def powder_mg(self) -> int:
        """Powder of the day's mixes."""
        return sum(mix.powder_mg or 0 for mix in self.mixes)


@dataclass(frozen=True)
class MixSheet:
    """The days left of the week; `compounds` that they mix, `cautions` as kept, each sentence once."""

    days: tuple[SheetDay, ...]
    compounds: tuple[Compound, ...]
    cautions: tuple[str, ...]

    @property
    def cautions_defer(self) -> bool:
        """Whether the kept cautions say themselves that local rules and the supplier's sheet come first."""
        return any("data sheet" in caution for caution in self.cautions)

    @property
    def span(self) -> str:
        """From the first to the last day: "Tue 6 to Fri 9 October"."""
        first, last = self.days[0].day, self.days[-1].day
        ends = f"{last:%a} {last.day} {last:%B}"
        if first == last:
            return ends
        month = "" if first.month == last.month else f" {first:%B}"
        return f"{first:%a} {first.day}{month} to {ends}"


def mix_sheet(*, now: datetime, local: Callable[[datetime], datetime]) -> MixSheet:
    """The mixes of the newest plan that are left of this week, or of the next when none are. Six queries.

    A mix that was planned for an earlier day and not started stands on its own day, first of all.
    """
    today = local(now).date()
    monday = today - timedelta(days=today.weekday())
    rows = mix_rows(mixes_ahead())
    days: dict[date, list[MixRow]] = {}
    for ends_on in (monday + timedelta(days=7), monday + timedelta(days=14)):
        for row in rows:
            day = local(row.starts_at).date()
            if day < ends_on:
                days.setdefault(day, []).append(row)
        if days:
            break
    mixed = {row.compound_id for found in days.values() for row in found}
    compounds = tuple(Compound.objects.filter(pk__in=mixed).select_related("powder"))
    said = [text for one in compounds for text in (one.cautions, one.powder.cautions) if text]
    return MixSheet(
        days=tuple(SheetDay(day, tuple(found)) for day, found in sorted(days.items())),
        compounds=compounds,
        cautions=sentences_once(said),
    )


def sentences_once(texts: Iterable[str]) -> tuple[str, ...]:
    """The sentences of texts that may say the same: each once, where it was said last."""
    sentences = [one for text in texts for one in re.split(r"(?<=[.!?])\s+", text.strip()) if one]
    return tuple(reversed(dict.fromkeys(reversed(sentences))))
