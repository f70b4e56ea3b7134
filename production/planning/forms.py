"""The exchanged forms, "casting-plan-problem 1" and "casting-plan 1", read and written.

A form is one JSON object, here as the plain dicts and lists that `json` gives. The problem
form holds one `mix` for all compounds; inside each compound has its own, and one that
differs is written with its own fields. Beyond form 1, all optional: `steps` (with
`pack_wait_minutes`) in an article in place of `coats` to `cure_hours`, `free_at` in a
mould, `not_before` in an order, `open_after_minutes` in a mould, and what is used up:
`supplies`, `powder` (the supply's name) in a compound, `recipes`, `needs` in a step and
`pack_needs` in an article. `no_pours` [`compound` and `colour` (null: any), `from`, `to`] are hours in
which no such mix starts.
"""

from collections.abc import Mapping
from typing import Any

from production.planning.faults import refuse
from production.planning.form_articles import article_from_form, article_to_form
from production.planning.form_fields import Fields, read_all, read_named
from production.planning.form_supplies import recipes_from_form, supplies_from_form, supplies_to_form
from production.planning.no_pours import NoPours
from production.planning.plan_forms import PLAN_FORM, plan_from_form, plan_to_form
from production.planning.problem import (
    CastCount,
    Compound,
    Line,
    MouldKind,
    OutOfMould,
    Pin,
    Poured,
    Problem,
    Receipt,
    Window,
)

__all__ = [
    "PLAN_FORM",
    "PROBLEM_FORM",
    "plan_from_form",
    "plan_to_form",
    "problem_from_form",
    "problem_to_form",
]

PROBLEM_FORM = "casting-plan-problem 1"

Form = Mapping[str, Any]


def problem_from_form(form: Form) -> Problem:
    """Read a problem.

    Raises
    ------
    ProblemFault
        When a field is missing or cannot be meant; the sentence names it.
    """
    fields = Fields("", form)
    if fields.any("form") != PROBLEM_FORM:
        refuse("form", fields.any("form"), f'"{PROBLEM_FORM}"')
    mix = fields.part("mix")
    powder = fields.part("powder")
    return Problem(
        minutes=fields.whole("minutes"),
        windows=read_all(fields, "hands", lambda f: Window(f.whole("from"), f.whole("to"), f.whole("pairs"))),
        late_step_days=fields.number("late_step_days"),
        compounds=read_named(fields, "compounds", lambda name, f: _compound(name, f, mix, powder)),
        moulds=read_named(fields, "moulds", _mould),
        articles=read_named(fields, "articles", article_from_form),
        lines=read_all(fields, "orders", _line),
        poured=read_all(fields, "poured", _poured),
        out_of_mould=read_all(fields, "out_of_mould", _out_of_mould),
        pins=read_all(
            fields,
            "pins",
            lambda f: Pin(f.text("compound"), f.text("colour"), f.whole("from"), f.whole("to")),
        ),
        supplies=supplies_from_form(fields),
        recipes=recipes_from_form(fields),
        no_pours=read_all(fields, "no_pours", _no_pours) if fields.has("no_pours") else (),
    )


MIX_FIELDS = ("weigh_and_mix_minutes", "clean_up_minutes", "residue_g", "jug_g")


def _compound(name: str, fields: Fields, mix: Fields, powder: Fields) -> Compound:
    def own(field: str) -> Fields:
        return fields if fields.has(field) else mix

    supply = fields.text("powder") if fields.has("powder") else None
    # What a compound that draws on a supply has of its own is not asked for.
    of_its_own = powder.part(name) if supply is None or powder.has(name) else None
    return Compound(
        name=name,
        working_minutes=fields.whole("working_minutes"),
        open_after_minutes=fields.whole("open_after_minutes"),
        dry_minutes=fields.hours("dry_hours"),
        slurry_g_per_ml=fields.number("slurry_g_per_ml"),
        powder_share=fields.number("powder_share"),
        weigh_and_mix_minutes=own("weigh_and_mix_minutes").whole("weigh_and_mix_minutes"),
        clean_up_minutes=own("clean_up_minutes").whole("clean_up_minutes"),
        residue_g=own("residue_g").number("residue_g"),
        jug_g=own("jug_g").number("jug_g"),
        powder_g=of_its_own.number("opening_g") if of_its_own else 0,
        receipts=read_all(of_its_own, "receipts", _receipt) if of_its_own else (),
        powder=supply,
    )


def _receipt(fields: Fields) -> Receipt:
    return Receipt(fields.whole("at"), fields.number("g"))


def _mould(name: str, fields: Fields) -> MouldKind:
    free_at = fields.list("free_at") if fields.has("free_at") else []
    return MouldKind(
        name=name,
        copies=fields.whole("copies"),
        fill_minutes=fields.number("fill_minutes"),
        open_minutes=fields.number("open_minutes"),
        rest_minutes=fields.whole("rest_minutes"),
        free_at=tuple(free_at),
        open_after_minutes=fields.whole("open_after_minutes") if fields.has("open_after_minutes") else None,
    )


def _line(fields: Fields) -> Line:
    return Line(
        id=fields.text("id"),
        article=fields.text("article"),
        colour=fields.text("colour"),
        quantity=fields.whole("quantity"),
        ship_by=fields.whole("ship_by"),
        weight=fields.number("weight"),
        not_before=fields.whole("not_before") if fields.has("not_before") else 0,
    )


def _poured(fields: Fields) -> Poured:
    return Poured(
        id=fields.text("id"),
        compound=fields.text("compound"),
        colour=fields.text("colour"),
        filled_at=fields.whole("filled_at"),
        casts=read_all(
            fields, "casts", lambda f: CastCount(f.text("line"), f.text("part"), f.whole("quantity"))
        ),
    )


def _out_of_mould(fields: Fields) -> OutOfMould:
    return OutOfMould(
        fields.text("line"), fields.text("part"), fields.whole("quantity"), fields.whole("opened_at")
    )


def _no_pours(fields: Fields) -> NoPours:
    of = {name: None if fields.any(name) is None else fields.text(name) for name in ("compound", "colour")}
    return NoPours(of["compound"], of["colour"], fields.whole("from"), fields.whole("to"))


def problem_to_form(problem: Problem) -> dict[str, Any]:
    """Write a problem; `problem_from_form` reads the same problem back."""
    mix = _mix_to_form(problem.compounds[0]) if problem.compounds else dict.fromkeys(MIX_FIELDS, 0)
    return {
        "form": PROBLEM_FORM,
        "minutes": problem.minutes,
        "hands": [{"from": w.start, "to": w.end, "pairs": w.pairs} for w in problem.windows],
        "mix": mix,
        "late_step_days": problem.late_step_days,
        "compounds": {compound.name: _compound_to_form(compound, mix) for compound in problem.compounds},
        "powder": {
            compound.name: {
                "opening_g": compound.powder_g,
                "receipts": [{"at": receipt.at, "g": receipt.powder_g} for receipt in compound.receipts],
            }
            for compound in problem.compounds
        },
        "moulds": {mould.name: _mould_to_form(mould) for mould in problem.moulds},
        "articles": {article.name: article_to_form(article) for article in problem.articles},
        "orders": [_line_to_form(line) for line in problem.lines],
        "poured": [_poured_to_form(poured) for poured in problem.poured],
        "out_of_mould": [
            {"line": out.line, "part": out.part, "quantity": out.quantity, "opened_at": out.opened_at}
            for out in problem.out_of_mould
        ],
        "pins": [
            {"compound": pin.compound, "colour": pin.colour, "from": pin.start, "to": pin.end}
            for pin in problem.pins
        ],
        **supplies_to_form(problem),
        **({"no_pours": [_no_pours_to_form(one) for one in problem.no_pours]} if problem.no_pours else {}),
    }


def _no_pours_to_form(barred: NoPours) -> dict[str, Any]:
    return {
        "compound": barred.compound,
        "colour": barred.colour,
        "from": barred.start,
        "to": barred.end,
    }


def _mix_to_form(compound: Compound) -> dict[str, Any]:
    return {name: getattr(compound, name) for name in MIX_FIELDS}


def _compound_to_form(compound: Compound, mix: Form) -> dict[str, Any]:
    own = {name: value for name, value in _mix_to_form(compound).items() if value != mix[name]}
    return {
        "working_minutes": compound.working_minutes,
        "open_after_minutes": compound.open_after_minutes,
        "dry_hours": compound.dry_minutes / 60,
        "slurry_g_per_ml": compound.slurry_g_per_ml,
        "powder_share": compound.powder_share,
        **own,
        **({} if compound.powder is None else {"powder": compound.powder}),
    }


def _mould_to_form(mould: MouldKind) -> dict[str, Any]:
    form: dict[str, Any] = {
        "copies": mould.copies,
        "fill_minutes": mould.fill_minutes,
        "open_minutes": mould.open_minutes,
        "rest_minutes": mould.rest_minutes,
    }
    if mould.free_at:
        form["free_at"] = list(mould.free_at)
    if mould.open_after_minutes is not None:
        form["open_after_minutes"] = mould.open_after_minutes
    return form


def _line_to_form(line: Line) -> dict[str, Any]:
    form: dict[str, Any] = {
        "id": line.id,
        "article": line.article,
        "colour": line.colour,
        "quantity": line.quantity,
        "ship_by": line.ship_by,
        "weight": line.weight,
    }
    if line.not_before:
        form["not_before"] = line.not_before
    return form


def _poured_to_form(poured: Poured) -> dict[str, Any]:
    return {
        "id": poured.id,
        "compound": poured.compound,
        "colour": poured.colour,
        "filled_at": poured.filled_at,
        "casts": [{"line": cast.line, "part": cast.part, "quantity": cast.quantity} for cast in poured.casts],
    }
