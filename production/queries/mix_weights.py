"""The door from rows to the mix arithmetic: what to weigh, into which copies, and what blocks it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from urllib.parse import urlencode

from inventory.errors import NotEnoughInContainer, StudioError
from inventory.queries.choosing import TubChoice, tub_to_weigh_from
from inventory.queries.wording import in_words
from production.arithmetic.mix import (
    CastFacts,
    ColourFacts,
    CompoundFacts,
    MixWeights,
    PigmentFacts,
    mix_weights,
    slurry_density,
)
from production.arithmetic.mix_walls import GYPSUM_WALLS, MixRefused
from production.errors import MouldNotFree, MouldNotMeasured, NoTubToWeighFrom
from production.models import Compound
from production.queries.asked import CastAsked, MixAsked
from production.queries.copies import CopyNow, copies_of
from production.queries.wording import listed


@dataclass(frozen=True)
class Block:
    """What keeps the mix from being started, and the words and place of the page that helps."""

    fault: StudioError
    link_words: str = ""
    place: str = ""
    place_query: str = ""

    @property
    def sentence(self) -> str:
        """What is wrong and what to do."""
        return self.fault.message

    def is_over_by(self, at: datetime) -> bool:
        """Whether it only takes waiting, and not beyond `at`: a mould that is damp until then."""
        free_at = self.fault.facts.get("all_dry_at")
        return free_at is not None and free_at <= at


@dataclass(frozen=True)
class ToWeigh:
    """One material to weigh in mg; `tub` to weigh it from, None when none holds it.

    With `from_one_tub` it has to come out of that tub alone; else the others make up what is missing.
    """

    material_id: int
    name: str
    amount_mg: int
    tub: TubChoice | None
    from_one_tub: bool = False

    @property
    def afterwards(self) -> tuple[tuple[str, int], ...]:
        """The tubs it comes from, with what each will hold afterwards; empty where they hold too little."""
        if self.tub is None:
            return ()
        holding = [(self.tub.code, self.tub.held)]
        if not self.from_one_tub:
            holding += [(other.code, other.held) for other in self.tub.others]
        left, tubs = self.amount_mg, []
        for code, held in holding:
            tubs.append((code, held - min(left, held)))
            left -= min(left, held)
            if left == 0:
                return tuple(tubs)
        return ()


@dataclass(frozen=True)
class ToFill:
    """One mould to fill, in order. `copy` is None when no copy is free for it. `entry` is its CastAsked's."""

    position: int
    entry: int
    part_id: int
    article: str
    part: str
    mould_id: int
    mould: str
    silhouette: str
    copy: CopyNow | None
    fill_mg: int
    dry_mg_per_ul: float
    wanted_by: str
    piece_colour_id: int
    fill_minutes: int


@dataclass(frozen=True)
class MixToWeigh:
    """Everything the Weigh page shows. `weights` and the lists are empty when the mix cannot be made up."""

    asked: MixAsked
    water_adjust_percent: float
    weights: MixWeights | None
    powder: ToWeigh | None
    pigments: tuple[ToWeigh, ...]
    fills: tuple[ToFill, ...]
    blocks: tuple[Block, ...]

    @property
    def warnings(self) -> tuple[str, ...]:
        """What to know that does not stop the mix."""
        return tuple(warning.sentence for warning in self.weights.warnings) if self.weights else ()


def mix_to_weigh(
    asked: MixAsked, *, now: datetime, water_adjust_percent: float = 0.0, tubs: Collection[str] = ()
) -> MixToWeigh:
    """What to weigh for the mix asked for, thinner (above zero) or thicker by `water_adjust_percent`.

    Powder and pigments come from the tubs whose turn it is, or from those asked for: `tubs`, their codes.

    Copies are chosen among those that are free, clean and dry, the one with the least casts first. What
    stands in the way comes as blocks, in the order in which to deal with them. One query, and three for each
    material.

    Raises: StudioError when a tub asked for holds nothing of what the mix takes.
    """
    copies = copies_of({cast.mould_id for cast in asked.casts}, now=now)
    weighed_from = tub_to_weigh_from(asked.compound.powder_id, now=now, codes=tubs)
    try:
        weights = weights_of(asked, water_adjust_percent, sieve=bool(weighed_from and weighed_from.sieve))
    except (MixRefused, MouldNotMeasured) as fault:
        return MixToWeigh(asked, water_adjust_percent, None, None, (), (), (Block(fault),))
    powder = ToWeigh(
        asked.compound.powder_id, asked.compound.powder.name, weights.powder_mg, weighed_from, True
    )
    pigments = tuple(
        ToWeigh(
            pigment.material_id,
            weight.name,
            weight.weight_mg,
            tub_to_weigh_from(pigment.material_id, now=now, codes=tubs),
        )
        for pigment, weight in zip(asked.pigments or (), weights.pigments, strict=True)
    )
    _check_tubs_asked(tubs, [powder, *pigments])
    fills = _fills(asked.casts, weights, copies)
    blocks = [*_mould_blocks(fills, copies, now), *_powder_blocks(powder), *_pigment_blocks(pigments)]
    return MixToWeigh(asked, water_adjust_percent, weights, powder, pigments, fills, tuple(blocks))


def _check_tubs_asked(codes: Collection[str], wanted: Sequence[ToWeigh]) -> None:
    """Refuse a tub that was emptied or put away since, or never held any of this."""
    turn = {one.tub.code: one.name for one in wanted if one.tub}
    for code in codes:
        if code not in turn:
            named = listed([f"{name} from {tub}" for tub, name in turn.items()])
            raise StudioError(
                f"{code[:8]} holds nothing that this mix takes. Weigh {named}."
                if named
                else f"{code[:8]} holds nothing that this mix takes, and no other tub does.",
                container=code,
            )


def compound_facts(compound: Compound) -> CompoundFacts:
    """A compound's row as the mix arithmetic wants it."""
    density = slurry_density(compound.powder_density_g_per_ml, compound.water_ratio)
    if compound.measured_yield_ml_per_100g:
        density = 100 * (1 + compound.water_ratio) / compound.measured_yield_ml_per_100g
    return CompoundFacts(
        name=compound.name,
        powder_density_g_per_ml=compound.powder_density_g_per_ml,
        water_ratio=compound.water_ratio,
        working_time_minutes=compound.working_time_minutes,
        stir_minutes=compound.stir_minutes,
        jug_capacity_mg=compound.jug_most_mg,
        residue_ul=round(compound.residue_mg / density),
        overfill_percent=compound.overfill * 100,
        sieve_allowance_percent=compound.sieve_allowance * 100,
        measured_yield_ml_per_100_g=compound.measured_yield_ml_per_100g,
        bound_water_ratio=compound.bound_water_ratio,
        water_walls=replace(GYPSUM_WALLS, stop_least=compound.least_water_ratio),
        pigment_limit_percent=compound.pigment_load_most * 100,
    )


def weights_of(asked: MixAsked, water_adjust_percent: float, *, sieve: bool) -> MixWeights:
    """The arithmetic of the mix asked for. No query.

    Raises: MouldNotMeasured; MixRefused as `arithmetic.mix.mix_weights`.
    """
    for cast in asked.casts:
        if cast.volume_ul is None:
            raise MouldNotMeasured(
                f"{cast.mould} was never measured. Fill it with water on the scale first.", mould=cast.mould
            )
    pigments = None
    if asked.pigments is not None:
        pigments = tuple(
            PigmentFacts(pigment.name, pigment.load * 100, pigment.density_g_per_ml)
            for pigment in asked.pigments
        )
    return mix_weights(
        [
            CastFacts(cast.mould, cast.volume_ul or 0, cast.quantity, cast.fill_minutes)
            for cast in asked.casts
        ],
        compound_facts(asked.compound),
        ColourFacts(asked.colour.name, pigments),
        water_adjust_percent=water_adjust_percent,
        sieve=sieve,
        scale_step_mg=asked.compound.scale_step_mg,
        pigment_step_mg=asked.compound.pigment_step_mg,
    )


def _fills(
    casts: Sequence[CastAsked], weights: MixWeights, copies: dict[int, tuple[CopyNow, ...]]
) -> tuple[ToFill, ...]:
    """Match the fills, which come in the order of the casts, with free copies."""
    free = {mould: [copy for copy in found if copy.is_free] for mould, found in copies.items()}
    one_by_one = [cast for cast in casts for _ in range(cast.quantity)]
    fills = []
    for position, (cast, fill) in enumerate(zip(one_by_one, weights.fills, strict=True), start=1):
        left = free.get(cast.mould_id)
        fills.append(
            ToFill(
                position=position,
                entry=cast.entry,
                part_id=cast.part_id,
                article=cast.article,
                part=cast.part,
                mould_id=cast.mould_id,
                mould=cast.mould,
                silhouette=cast.silhouette,
                copy=left.pop(0) if left else None,
                fill_mg=fill.fill_mg,
                dry_mg_per_ul=(fill.dry_mg or 0) / fill.volume_ul,
                wanted_by=cast.wanted_by,
                piece_colour_id=cast.piece_colour_id,
                fill_minutes=cast.fill_minutes,
            )
        )
    return tuple(fills)


def _mould_blocks(
    fills: Sequence[ToFill], copies: dict[int, tuple[CopyNow, ...]], now: datetime
) -> list[Block]:
    short = Counter((fill.mould_id, fill.mould) for fill in fills if fill.copy is None)
    taken = {fill.copy.copy_id for fill in fills if fill.copy}
    blocks = []
    for (mould_id, mould), missing in short.items():
        others = [
            copy
            for copy in sorted(copies.get(mould_id, ()), key=lambda copy: copy.number)
            if copy.copy_id not in taken and not copy.is_retired
        ]
        words = listed([f"copy {copy.number} is {copy.words(now)}" for copy in others])
        why = words[:1].upper() + words[1:] if words else "There is no other copy"
        blocks.append(
            Block(
                MouldNotFree(
                    f"{mould}: {missing} short. {why}. Wait, or leave {missing} out.",
                    mould=mould,
                    short=missing,
                    wet_until=min((copy.wet_until for copy in others if copy.wet_until), default=None),
                    all_dry_at=_all_dry_at([copy.wet_until for copy in others], missing),
                )
            )
        )
    return blocks


def _all_dry_at(wet_until: Sequence[datetime | None], missing: int) -> datetime | None:
    """When as many copies as are missing are dry, if nothing but drying is in the way."""
    dry_at = sorted(at for at in wet_until if at is not None)
    return dry_at[missing - 1] if len(dry_at) >= missing else None


def _powder_blocks(powder: ToWeigh) -> list[Block]:
    """The powder comes out of one tub, so that nobody opens a second in the middle of weighing."""
    if powder.tub is None:
        return [_no_tub(powder)]
    if powder.tub.held >= powder.amount_mg:
        return []
    held, wanted = in_words(powder.tub.held, "g"), in_words(powder.amount_mg, "g")
    there = f"{powder.tub.code} holds {held} of {powder.name} and the mix takes {wanted}."
    facts = {"container": powder.tub.code, "held": powder.tub.held, "amount": powder.amount_mg}
    if not powder.tub.others:
        fault = NotEnoughInContainer(f"{there} No other tub has any. Take in a delivery first.", **facts)
        return [Block(fault, "Take in a delivery", "inventory:receive")]
    more = listed([f"{other.code} {in_words(other.held, 'g')}" for other in powder.tub.others])
    fault = NotEnoughInContainer(f"{there} More is in {more}. Decant first.", **facts)
    fullest = max(powder.tub.others, key=lambda other: other.held)
    tubs = urlencode({"source": fullest.code, "target": powder.tub.code})
    return [Block(fault, "Decant first", "inventory:decant", place_query=f"?{tubs}")]


def _pigment_blocks(pigments: Sequence[ToWeigh]) -> list[Block]:
    blocks = []
    for pigment in pigments:
        if pigment.amount_mg == 0:
            continue
        if pigment.tub is None:
            blocks.append(_no_tub(pigment))
            continue
        held = pigment.tub.held + sum(other.held for other in pigment.tub.others)
        if held < pigment.amount_mg:
            fault = NotEnoughInContainer(
                f"All tubs together hold {in_words(held, 'g')} of {pigment.name} and the mix takes"
                f" {in_words(pigment.amount_mg, 'g')}. Take in a delivery or count the tubs first.",
                material=pigment.name,
                held=held,
                amount=pigment.amount_mg,
            )
            blocks.append(Block(fault, "Take in a delivery", "inventory:receive"))
    return blocks


def _no_tub(wanted: ToWeigh) -> Block:
    fault = NoTubToWeighFrom(
        f"No tub holds {wanted.name}. Take in a delivery or count the tubs first.", material=wanted.name
    )
    return Block(fault, "Take in a delivery", "inventory:receive")
