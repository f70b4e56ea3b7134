"""The mixes that set now: between powder in and the last mould filled."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Prefetch, QuerySet

from inventory.queries.acts import act_id_of
from production.models import Cast, Mix, MixDraw


@dataclass(frozen=True)
class FillNow:
    """One mould of a mix in hand. `fill_mg` what the scale shows when it is full."""

    cast_id: int
    position: int
    mould: str
    part: str
    silhouette: str
    copy_number: int
    fill_mg: int
    fill_minutes: int
    poured_at: datetime | None
    is_left_out: bool

    @property
    def is_open(self) -> bool:
        """Whether it still waits to be filled."""
        return self.poured_at is None and not self.is_left_out


@dataclass(frozen=True)
class MixInHand:
    """A mix that sets now. Amounts in mg; `start_act_id` undoes it while nothing was poured."""

    mix_id: int
    number: int
    colour: str
    colour_hex: str
    compound: str
    cautions: str
    started_at: datetime
    stiff_at: datetime
    stir_minutes: int
    working_minutes: int
    fills: tuple[FillNow, ...]
    powder_mg: int
    water_mg: int
    pigments: tuple[tuple[str, int], ...]
    start_act_id: int | None

    @property
    def current(self) -> FillNow | None:
        """The mould to fill now."""
        return next(iter(self.fills_left), None)

    @property
    def fills_left(self) -> tuple[FillNow, ...]:
        """The moulds that wait to be filled, in order."""
        return tuple(fill for fill in self.fills if fill.is_open)

    @property
    def after(self) -> tuple[FillNow, ...]:
        """The moulds that come after it."""
        return self.fills_left[1:]


def mixes_setting() -> tuple[MixInHand, ...]:
    """The mixes between powder in and the last mould, the one with the least time left first."""
    rows = _with_fills(Mix.objects.filter(poured_at=None, undone_at=None))
    return tuple(sorted((_in_hand(mix) for mix in rows), key=lambda mix: mix.stiff_at))


def _in_hand(mix: Mix) -> MixInHand:
    draws = list(mix.draws.all())
    pigments: dict[str, int] = {}
    for draw in draws:
        if draw.material_id != mix.compound.powder_id:
            pigments[draw.material.name] = pigments.get(draw.material.name, 0) + draw.amount
    fills = tuple(
        FillNow(
            cast_id=cast.pk,
            position=cast.position,
            mould=cast.mould_copy.mould.name,
            part=cast.part.name,
            silhouette=cast.mould_copy.mould.silhouette,
            copy_number=cast.mould_copy.number,
            fill_mg=cast.fill_mg,
            fill_minutes=cast.mould_copy.mould.fill_minutes,
            poured_at=cast.poured_at,
            is_left_out=cast.left_out_at is not None,
        )
        for cast in mix.casts.all()
    )
    nothing_poured = not any(fill.poured_at for fill in fills)
    return MixInHand(
        mix_id=mix.pk,
        number=mix.number,
        colour=mix.colour.name,
        colour_hex=mix.colour.hex,
        compound=mix.compound.name,
        cautions=mix.compound.cautions,
        started_at=mix.started_at,
        stiff_at=mix.started_at + timedelta(minutes=mix.compound.working_time_minutes),
        stir_minutes=mix.compound.stir_minutes,
        working_minutes=mix.compound.working_time_minutes,
        fills=fills,
        powder_mg=mix.powder_mg,
        water_mg=mix.water_mg,
        pigments=tuple(pigments.items()),
        start_act_id=act_id_of(draws[0].posting.request_key) if draws and nothing_poured else None,
    )


def _with_fills(rows: QuerySet[Mix]) -> list[Mix]:
    casts = Cast.objects.select_related("part", "mould_copy__mould").order_by("position")
    return list(
        rows.select_related("compound", "colour").prefetch_related(
            Prefetch("casts", casts),
            Prefetch("draws", MixDraw.objects.select_related("material", "posting").order_by("pk")),
        )
    )
