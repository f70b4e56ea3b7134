"""Keeping what a look into the late lines of a plan found, beside the plan."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from inventory.operations.acts import Done, Tap, act
from production.models import LateLook, LateOffer, LateReason, OfferedLine, PlannedLine
from production.planning.calendar import instant_of
from production.planning.lifting import MOULD, PINS, Limit, pin_name
from production.planning.looking import Findings
from production.planning.offers import COPY, PARTS, Priced
from production.planning.resolving import NEVER
from production.queries.kept_plan import line_id_of
from production.queries.planning_task import PlanningTask
from production.queries.wording import counted


@act("production.keep_late_look")
def keep_late_look(tap: Tap, *, plan_id: int, task: PlanningTask, findings: Findings) -> Done:
    """Keep why the late lines of a plan are late and what would help; an earlier look at it is replaced.

    Lines of the task that are not in the plan (it was read again after something had changed) are left out.

    Changes: production_latelook, production_latereason, production_lateoffer, production_offeredline.
    Again: the first answer.
    """
    LateLook.objects.filter(plan=plan_id).delete()
    look = LateLook.objects.create(
        plan_id=plan_id,
        looked_at=tap.now,
        points=round(findings.points),
        mixes_count=findings.mixes,
        solves=findings.solves,
        is_whole=findings.is_whole,
        enough=list(findings.enough),
    )
    lines = {line_id_of(line): line for line in PlannedLine.objects.filter(plan=plan_id)}
    _keep_reasons(look, task, findings, lines)
    _keep_offers(look, task, findings, lines)
    helps = sum(priced.helps for priced in findings.offers)
    said = f"Looked into what is late: {counted(helps, 'thing')} would help."
    return Done(said, {"look_id": look.pk, "solves": findings.solves, "helps": helps})


def _keep_reasons(
    look: LateLook, task: PlanningTask, findings: Findings, lines: Mapping[str, PlannedLine]
) -> None:
    LateReason.objects.bulk_create(
        LateReason(
            look=look,
            line=lines[because.line],
            kind=because.kind,
            limits=[_limit_facts(limit, task) for limit in because.limits],
            poured_by=None if because.poured_by is None else instant_of(because.poured_by, task.start),
            earliest_packed=None
            if because.earliest_packed is None
            else instant_of(because.earliest_packed, task.start),
        )
        for because in findings.reasons
        if because.line in lines
    )


def _limit_facts(limit: Limit, task: PlanningTask) -> dict[str, Any]:
    """A limit with the figures of when it was looked into."""
    facts: dict[str, Any] = {"kind": limit.kind, "name": limit.name}
    mould = task.mould_facts.get(limit.name) if limit.kind == MOULD else None
    if mould is not None:
        facts |= {
            "mould_id": mould.mould_id,
            "copies": mould.copies,
            "in_mould_minutes": mould.in_mould_minutes,
            "clean_and_dry_minutes": mould.clean_and_dry_minutes,
        }
    for pin in task.problem.pins if limit.kind == PINS else ():
        if pin_name(pin) == limit.name:
            facts |= {"colour": pin.colour, "starts_at": instant_of(pin.start, task.start).isoformat()}
    return facts


def _keep_offers(
    look: LateLook, task: PlanningTask, findings: Findings, lines: Mapping[str, PlannedLine]
) -> None:
    kept = [one for one in findings.offers if one.offer.kind != PARTS or one.offer.name in lines]
    offers = [_offer(look, place, priced, task, lines) for place, priced in enumerate(kept, start=1)]
    LateOffer.objects.bulk_create(offers)
    OfferedLine.objects.bulk_create(
        OfferedLine(offer=offer, line=lines[line], days_before=_placed(before), days_after=_placed(after))
        for offer, priced in zip(offers, kept, strict=True)
        for line, before, after in priced.lines
        if line in lines
    )


def _offer(
    look: LateLook, place: int, priced: Priced, task: PlanningTask, lines: Mapping[str, PlannedLine]
) -> LateOffer:
    offer = priced.offer
    mould = task.mould_facts.get(offer.name) if offer.kind == COPY else None
    return LateOffer(
        look=look,
        position=place,
        kind=offer.kind,
        name="" if offer.kind == PARTS else offer.name,
        mould_id=mould.mould_id if mould else None,
        line=lines[offer.name] if offer.kind == PARTS else None,
        pieces=offer.pieces,
        points_saved=round(priced.points_saved),
        mixes_saved=priced.mixes_saved,
        by_lifting=priced.by_lifting,
    )


def _placed(days: int) -> int | None:
    return None if days >= NEVER else days
