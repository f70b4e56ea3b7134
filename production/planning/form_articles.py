"""Articles in the exchanged form: the usual route in its own fields, any other as `steps`.

The usual route is coats, a candle fill, cure, pack. A coat is left to dry for
`recoat_hours` before whatever follows it; `cure_hours` run after the fill. Where there is
no fill the longer of the two goes before packing.
"""

from typing import Any

from production.planning.form_fields import Fields, read_all, read_named
from production.planning.problem import Article, Part, Step
from production.planning.supplies import StepNeed


def article_from_form(name: str, fields: Fields) -> Article:
    """Read one article."""
    parts = read_all(fields, "parts", _part)
    steps, pack_wait = _own_route(fields) if fields.has("steps") else _usual_route(fields)
    return Article(
        name=name,
        parts=parts,
        steps=steps,
        pack_minutes=fields.whole("pack_minutes"),
        pack_wait_minutes=pack_wait,
        matched=fields.flag("matched"),
        pack_needs=_needs(fields, "pack_needs"),
    )


def _part(fields: Fields) -> Part:
    return Part(
        name=fields.text("name"),
        mould=fields.text("mould"),
        ml=fields.number("ml"),
        compound=fields.text("compound"),
        colour=None if fields.form.get("colour") is None else fields.text("colour"),
    )


def _own_route(fields: Fields) -> tuple[tuple[Step, ...], int]:
    wait = fields.whole("pack_wait_minutes") if fields.has("pack_wait_minutes") else 0
    return read_all(fields, "steps", _step), wait


def _step(fields: Fields) -> Step:
    return Step(
        name=fields.text("name"),
        wait_minutes=None if fields.any("wait_minutes") is None else fields.whole("wait_minutes"),
        minutes_each=fields.number("minutes_each"),
        minutes_per_batch=fields.number("minutes_per_batch"),
        needs=_needs(fields, "needs"),
    )


def _needs(fields: Fields, name: str) -> tuple[StepNeed, ...]:
    return read_named(fields, name, _need) if fields.has(name) else ()


def _need(supply: str, fields: Fields) -> StepNeed:
    per_batch = fields.number("per_batch") if fields.has("per_batch") else 0
    return StepNeed(supply, fields.number("each"), per_batch)


def _usual_route(fields: Fields) -> tuple[tuple[Step, ...], int]:
    return usual_route(
        coats=fields.whole("coats"),
        coat_minutes=fields.number("coat_minutes"),
        recoat_minutes=fields.hours("recoat_hours"),
        fill_minutes=fields.number("fill_minutes"),
        cure_minutes=fields.hours("cure_hours"),
    )


def usual_route(
    *, coats: int, coat_minutes: float, recoat_minutes: int, fill_minutes: float, cure_minutes: int
) -> tuple[tuple[Step, ...], int]:
    """Steps of the usual route, and the wait before packing."""
    steps = [
        Step(f"coat {number}", None if number == 1 else recoat_minutes, coat_minutes)
        for number in range(1, coats + 1)
    ]
    if fill_minutes > 0:
        steps.append(Step("fill", recoat_minutes if steps else None, fill_minutes))
        return tuple(steps), cure_minutes
    return tuple(steps), max(recoat_minutes, cure_minutes) if steps else cure_minutes


def article_to_form(article: Article) -> dict[str, Any]:
    """Write one article, in the fields of the usual route where they say the same."""
    return {
        "parts": [
            {
                "name": part.name,
                "mould": part.mould,
                "ml": part.ml,
                "compound": part.compound,
                "colour": part.colour,
            }
            for part in article.parts
        ],
        "matched": article.matched,
        **_route_to_form(article),
        "pack_minutes": article.pack_minutes,
        **_needs_to_form("pack_needs", article.pack_needs),
    }


def _needs_to_form(name: str, needs: tuple[StepNeed, ...]) -> dict[str, Any]:
    if not needs:
        return {}
    return {name: {need.supply: {"each": need.each, "per_batch": need.per_batch} for need in needs}}


def _route_to_form(article: Article) -> dict[str, Any]:
    pack_wait = article.pack_wait_minutes
    # Without a fill the wait before packing is most often the recoating time, no cure.
    for cure_minutes in (0, pack_wait):
        route = _usual_fields(article, cure_minutes)
        read_back = _usual_route(Fields("", route))
        if read_back == (article.steps, pack_wait):
            return route
    own: dict[str, Any] = {
        "steps": [
            {
                "name": step.name,
                "wait_minutes": step.wait_minutes,
                "minutes_each": step.minutes_each,
                "minutes_per_batch": step.minutes_per_batch,
                **_needs_to_form("needs", step.needs),
            }
            for step in article.steps
        ]
    }
    if pack_wait:
        own["pack_wait_minutes"] = pack_wait
    return own


def _usual_fields(article: Article, cure_minutes: int) -> dict[str, Any]:
    """The fields an article would have if its route were the usual one."""
    coats = [step for step in article.steps if step.name.startswith("coat ")]
    fills = [step for step in article.steps if step.name == "fill"]
    later_waits = [step.wait_minutes or 0 for step in article.steps[1:]]
    recoat_minutes = 0
    if coats:
        recoat_minutes = later_waits[0] if later_waits else article.pack_wait_minutes
    return {
        "coats": len(coats),
        "coat_minutes": coats[0].minutes_each if coats else 0,
        "recoat_hours": recoat_minutes / 60,
        "fill_minutes": fills[0].minutes_each if fills else 0,
        "cure_hours": cure_minutes / 60,
    }
