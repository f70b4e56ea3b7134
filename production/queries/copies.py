"""Which physical moulds are free, and what keeps the others."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Count, Max, Q

from production.models import MouldCopy
from production.models.moulds import Ended
from production.queries.wording import day_clock


@dataclass(frozen=True)
class CopyNow:
    """One copy at one instant. `in_mix` number of the mix that is in it; `wet_until` while it is damp."""

    copy_id: int
    mould_id: int
    number: int
    casts_done: int
    casts_expected: int
    in_mix: int | None
    wet_until: datetime | None
    is_lent: bool
    is_retired: bool
    ended: str = ""
    washed_at: datetime | None = None

    @property
    def is_free(self) -> bool:
        """Clean, dry, here and empty."""
        return not (self.in_mix or self.wet_until or self.is_lent or self.is_retired)

    def words(self, now: datetime) -> str:
        """Its state as the screens say it: "clean and dry", "in mix 312", "wet until 16:15", "lent"."""
        if self.is_retired:
            return self.ended or "retired"
        if self.is_lent:
            return "lent"
        if self.in_mix:
            return f"in mix {self.in_mix}"
        if self.wet_until:
            return f"wet until {day_clock(self.wet_until, now)}"
        return "clean and dry"


def copies_of(mould_ids: Iterable[int], *, now: datetime) -> dict[int, tuple[CopyNow, ...]]:
    """The copies of each mould, the least worn first. One query.

    A copy is damp from the moment its last cast came out, or it was washed, until the mould's minutes to
    clean and dry are over. Every copy of a retired mould is retired.
    """
    in_the_mould = Q(casts__out_at__isnull=True, casts__left_out_at__isnull=True)
    rows = (
        MouldCopy.objects.filter(mould__in=list(mould_ids))
        .select_related("mould")
        .annotate(
            casts_here=Count("casts", filter=Q(casts__poured_at__isnull=False)),
            last_out_at=Max("casts__out_at"),
            mix_in_it=Max("casts__mix__number", filter=in_the_mould),
        )
    )
    found: dict[int, list[CopyNow]] = {}
    for row in rows:
        wet_until = None
        wet_since = max([at for at in (row.last_out_at, row.washed_at) if at is not None], default=None)
        if wet_since is not None:
            dry_at = wet_since + timedelta(minutes=row.mould.clean_and_dry_minutes)
            wet_until = dry_at if dry_at > now else None
        found.setdefault(row.mould_id, []).append(
            CopyNow(
                copy_id=row.pk,
                mould_id=row.mould_id,
                number=row.number,
                casts_done=row.casts_before + row.casts_here,
                casts_expected=row.casts_expected,
                in_mix=row.mix_in_it,
                wet_until=wet_until,
                is_lent=row.lent_on is not None,
                is_retired=row.retired_on is not None or row.mould.retired_on is not None,
                ended=row.ended if row.retired_on and row.ended != Ended.WORN else "",
                washed_at=row.washed_at,
            )
        )
    return {
        mould_id: tuple(sorted(copies, key=lambda copy: (copy.casts_done, copy.number)))
        for mould_id, copies in found.items()
    }
