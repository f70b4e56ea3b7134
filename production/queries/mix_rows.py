"""What every mix ahead takes, in the order its moulds are filled: for the Week's table and the mix sheet."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from production.models import PlannedCast
from production.queries.plans import MixAhead


@dataclass(frozen=True)
class PigmentRow:
    """One pigment to weigh, in mg."""

    name: str
    weight_mg: int


@dataclass(frozen=True)
class FillRow:
    """Moulds of one kind to fill one after the other, `fill_mg` each."""

    mould: str
    count: int
    fill_mg: int


@dataclass(frozen=True)
class MixRow:
    """One mix ahead. `powder_mg` None when the mix arithmetic refuses it by now."""

    number: int
    planned_mix_id: int
    starts_at: datetime
    out_at: datetime
    colour: str
    colour_hex: str
    compound_id: int
    compound: str
    powder_mg: int | None
    water_mg: int | None
    pigments: tuple[PigmentRow, ...]
    fills: tuple[FillRow, ...]


def mix_rows(ahead: Iterable[MixAhead]) -> tuple[MixRow, ...]:
    """The mixes ahead with their grams. No query."""
    return tuple(_row(one) for one in ahead)


def _row(one: MixAhead) -> MixRow:
    planned, weighed = one.planned, one.weighed
    weights = weighed.weights
    return MixRow(
        number=one.number,
        planned_mix_id=planned.pk,
        starts_at=planned.starts_at,
        out_at=planned.opens_at,
        colour=planned.colour.name,
        colour_hex=planned.colour.hex,
        compound_id=planned.compound_id,
        compound=planned.compound.name,
        powder_mg=weights.powder_mg if weights else None,
        water_mg=weights.water_mg if weights else None,
        pigments=tuple(PigmentRow(p.name, p.weight_mg) for p in weights.pigments) if weights else (),
        fills=_fills(one.casts, {f.name: f.fill_mg for f in weights.fills} if weights else {}),
    )


def _fills(casts: Sequence[PlannedCast], fill_mg: dict[str, int]) -> tuple[FillRow, ...]:
    """Casts in order of filling, those of one mould that follow each other taken together."""
    rows: list[FillRow] = []
    for cast in casts:
        name = cast.mould.name
        if rows and rows[-1].mould == name:
            rows[-1] = FillRow(name, rows[-1].count + cast.quantity, rows[-1].fill_mg)
        else:
            rows.append(FillRow(name, cast.quantity, fill_mg.get(name, 0)))
    return tuple(rows)
