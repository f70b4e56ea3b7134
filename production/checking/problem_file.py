"""Reads a problem in the exchanged form for checking; what cannot be meant is refused with its path."""

from __future__ import annotations

from collections import Counter
from typing import Any

from production.checking.limits import (
    MOST_BY_HAND,
    MOST_COPIES,
    MOST_KINDS,
    MOST_LINES,
    MOST_MINUTES,
    MOST_PAIRS,
    MOST_PARTS,
    MOST_PIECES,
    MOST_ROWS,
    MOST_STEPS,
    MOST_WINDOWS,
)
from production.checking.places import Malformed, Place, shown
from production.checking.studio import (
    Asked,
    Barred,
    Casts,
    Form,
    Hours,
    InMoulds,
    Made,
    Mixture,
    Need,
    PartMade,
    Stuff,
    Task,
    Wanted,
)

PROBLEM_FORM = "casting-plan-problem 1"
OWN_POWDER = "powder of "


def read_problem(form: Any) -> Asked:
    """A problem from what JSON gave.

    Raises: Malformed for the first field that is missing, out of its limits, or does not fit the others.
    """
    top = Place("", form)
    if top.at("form").value != PROBLEM_FORM:
        top.at("form").refuse(f'"{PROBLEM_FORM}"')
    minutes = top.at("minutes").whole(1, MOST_MINUTES)
    stuff = {name: _stuff(at, "amount") for name, at in _optional(top, "supplies")}
    mixtures = _mixtures(top, stuff)
    moulds = {name: _mould(at) for name, at in top.at("moulds").named(MOST_KINDS)}
    articles = {
        name: _article(at, moulds, mixtures, stuff) for name, at in top.at("articles").named(MOST_KINDS)
    }
    lines = _lines(top.at("orders"), articles)
    asked = Asked(
        minutes=minutes,
        late_step_days=top.at("late_step_days").number(),
        hours=_hours(top.at("hands"), minutes),
        stuff=stuff,
        mixtures=mixtures,
        moulds=moulds,
        articles=articles,
        lines=lines,
        poured=_poured(top.at("poured"), mixtures, lines, articles),
        out=tuple(_out(at, lines, articles) for at in top.at("out_of_mould").rows(MOST_ROWS)),
        pins=tuple(_pin(at, mixtures) for at in top.at("pins").rows(MOST_BY_HAND)),
        recipes=_recipes(top, mixtures, stuff),
        no_pours=_all_no_pours(top, mixtures),
    )
    _check_in_progress(asked)
    return asked


def _optional(place: Place, name: str) -> list[tuple[str, Place]]:
    return list(place.at(name).named(MOST_KINDS)) if place.has(name) else []


def _hours(place: Place, minutes: int) -> tuple[Hours, ...]:
    found: list[Hours] = []
    for at in place.rows(MOST_WINDOWS):
        start, end = at.at("from").whole(0, minutes), at.at("to").whole(0, minutes)
        if end <= start:
            at.at("to").refuse(f"after from, which is {start}")
        if found and start < found[-1].end:
            at.at("from").refuse(f"not before {found[-1].end}, where the window before it ends")
        found.append(Hours(start, end, at.at("pairs").whole(0, MOST_PAIRS)))
    return tuple(found)


def _stuff(place: Place, amount: str) -> Stuff:
    opening = "opening" if amount == "amount" else "opening_g"
    receipts = place.at("receipts").rows(MOST_KINDS) if place.has("receipts") else []
    return Stuff(
        place.at(opening).number(),
        tuple((at.at("at").minute(), at.at(amount).number()) for at in receipts),
    )


def _mixtures(top: Place, stuff: dict[str, Stuff]) -> dict[str, Mixture]:
    """The compounds; the powder one has of its own joins the supplies under a name of its own."""
    mix, powder = top.at("mix"), top.at("powder")
    found = {}
    for name, at in top.at("compounds").named(MOST_KINDS):
        if at.has("powder"):
            drawn_from = at.at("powder").one_of(stuff, "supplies")
        else:
            drawn_from = OWN_POWDER + name
            stuff[drawn_from] = _stuff(powder.at(name), "g")
        found[name] = _mixture(at, mix, drawn_from)
    return found


def _mixture(place: Place, mix: Place, powder: str) -> Mixture:
    def own(field: str) -> Place:
        return (place if place.has(field) else mix).at(field)

    return Mixture(
        working=place.at("working_minutes").whole(1, MOST_MINUTES),
        open_after=place.at("open_after_minutes").whole(0, MOST_MINUTES),
        dry=round(place.at("dry_hours").number(0, MOST_MINUTES / 60) * 60),
        g_per_ml=place.at("slurry_g_per_ml").number(above=True),
        powder_share=place.at("powder_share").number(0, 1, above=True),
        weigh=own("weigh_and_mix_minutes").whole(0, MOST_MINUTES),
        clean_up=own("clean_up_minutes").whole(0, MOST_MINUTES),
        residue_g=own("residue_g").number(),
        jug_g=own("jug_g").number(above=True),
        powder=powder,
    )


def _mould(place: Place) -> Form:
    free_at = place.at("free_at").rows(MOST_COPIES) if place.has("free_at") else []
    return Form(
        copies=place.at("copies").whole(0, MOST_COPIES),
        fill=place.at("fill_minutes").number(),
        open=place.at("open_minutes").number(),
        rest=place.at("rest_minutes").whole(0, MOST_MINUTES),
        free_at=tuple(at.minute() for at in free_at),
        open_after=place.at("open_after_minutes").whole(0, MOST_MINUTES)
        if place.has("open_after_minutes")
        else None,
    )


def _article(
    place: Place, moulds: dict[str, Form], mixtures: dict[str, Mixture], stuff: dict[str, Stuff]
) -> Made:
    parts: dict[str, PartMade] = {}
    for at in place.at("parts").rows(MOST_PARTS):
        name = _once(at.at("name"), parts)
        parts[name] = PartMade(
            mould=at.at("mould").one_of(moulds, "moulds"),
            ml=at.at("ml").number(above=True),
            compound=at.at("compound").one_of(mixtures, "compounds"),
            colour=at.at("colour").text() if at.has("colour") and at.value["colour"] is not None else None,
        )
    matched = place.at("matched").flag()
    if matched and len({(part.compound, part.colour) for part in parts.values()}) > 1:
        place.at("parts").refuse("of one compound and colour, because the article is matched")
    tasks = _own_tasks(place, stuff) if place.has("steps") else _usual_tasks(place)
    if not parts and any(task.wait is None for task in tasks[:-1]):
        place.at("steps" if place.has("steps") else "coats").refuse(
            "with waits in minutes, because the article has no parts that dry"
        )
    needs = _needs(place, "pack_needs", stuff)
    pack = Task(
        "pack", tasks[-1].wait, 0, place.at("pack_minutes").whole(0, MOST_MINUTES), needs, not tasks[:-1]
    )
    return Made(parts, matched, (*tasks[:-1], pack))


def _own_tasks(place: Place, stuff: dict[str, Stuff]) -> list[Task]:
    """The steps as given, then the wait before packing."""
    names: dict[str, None] = {}
    found = []
    for at in place.at("steps").rows(MOST_STEPS):
        name = _once(at.at("name"), names)
        if name == "pack":
            at.at("name").refuse("another name than that of the packing itself")
        names[name] = None
        wait = at.at("wait_minutes")
        found.append(
            Task(
                name,
                None if wait.value is None else wait.whole(0, MOST_MINUTES),
                at.at("minutes_each").number(),
                at.at("minutes_per_batch").number(),
                _needs(at, "needs", stuff),
            )
        )
    last = place.at("pack_wait_minutes").whole(0, MOST_MINUTES) if place.has("pack_wait_minutes") else 0
    return [*found, Task("pack", last, 0, 0)]


def _usual_tasks(place: Place) -> list[Task]:
    """Coats, a candle fill, cure: a coat dries for the recoating time, and what is filled cures."""
    recoat = round(place.at("recoat_hours").number(0, MOST_MINUTES / 60) * 60)
    cure = round(place.at("cure_hours").number(0, MOST_MINUTES / 60) * 60)
    coat, fill = place.at("coat_minutes").number(), place.at("fill_minutes").number()
    coats = place.at("coats").whole(0, MOST_STEPS)
    found = [Task(f"coat {number + 1}", recoat if number else None, coat, 0) for number in range(coats)]
    last = recoat if coats else 0
    if fill:
        found.append(Task("fill", recoat if coats else None, fill, 0))
        last = cure
    return [*found, Task("pack", last, 0, 0)]


def _needs(place: Place, field: str, stuff: dict[str, Stuff]) -> tuple[Need, ...]:
    found = []
    for name, at in _optional(place, field):
        if name not in stuff:
            raise Malformed(at.path, "of one of the supplies", shown(name))
        once = at.at("per_batch").number() if at.has("per_batch") else 0.0
        found.append((name, at.at("each").number(), once))
    return tuple(found)


def _once(place: Place, before: dict[str, Any]) -> str:
    name = place.text()
    if name in before:
        place.refuse("a name that comes once")
    return name


def _lines(place: Place, articles: dict[str, Made]) -> dict[str, Wanted]:
    found: dict[str, Wanted] = {}
    for at in place.rows(MOST_LINES):
        found[_once(at.at("id"), found)] = Wanted(
            article=at.at("article").one_of(articles, "articles"),
            colour=at.at("colour").text(),
            quantity=at.at("quantity").whole(1, MOST_PIECES),
            ship_by=at.at("ship_by").minute(),
            weight=at.at("weight").number(),
            not_before=at.at("not_before").minute() if at.has("not_before") else 0,
        )
    return found


def read_casts(place: Place, lines: dict[str, Wanted], articles: dict[str, Made], least: int = 1) -> Casts:
    """Casts of a mix: line, part and how many."""
    found = []
    for at in place.rows(MOST_ROWS):
        line = at.at("line").one_of(lines, "orders")
        part = at.at("part").one_of(articles[lines[line].article].parts, f"parts of line {line}")
        found.append((line, part, at.at("quantity").whole(least, MOST_PIECES)))
    return tuple(found)


def _poured(
    place: Place, mixtures: dict[str, Mixture], lines: dict[str, Wanted], articles: dict[str, Made]
) -> dict[str, InMoulds]:
    found: dict[str, InMoulds] = {}
    for at in place.rows(MOST_ROWS):
        found[_once(at.at("id"), found)] = InMoulds(
            compound=at.at("compound").one_of(mixtures, "compounds"),
            colour=at.at("colour").text(),
            filled_at=at.at("filled_at").minute(),
            casts=read_casts(at.at("casts"), lines, articles),
        )
    return found


def _out(place: Place, lines: dict[str, Wanted], articles: dict[str, Made]) -> tuple[str, str, int, int]:
    line = place.at("line").one_of(lines, "orders")
    parts = articles[lines[line].article].parts
    part = place.at("part").one_of(parts, f"parts of line {line}") if parts else ""
    quantity = place.at("quantity").whole(1, MOST_PIECES)
    return line, part, quantity, place.at("opened_at").minute()


def _pin(place: Place, mixtures: dict[str, Mixture]) -> tuple[str, str, int, int]:
    start, end = place.at("from").minute(), place.at("to").minute()
    if end < start:
        place.at("to").refuse(f"not before from, which is {start}")
    compound = place.at("compound").one_of(mixtures, "compounds")
    return compound, place.at("colour").text(), start, end


def _all_no_pours(top: Place, mixtures: dict[str, Mixture]) -> tuple[Barred, ...]:
    if not top.has("no_pours"):
        return ()
    return tuple(_no_pours(at, mixtures) for at in top.at("no_pours").rows(MOST_BY_HAND))


def _no_pours(place: Place, mixtures: dict[str, Mixture]) -> Barred:
    start, end = place.at("from").minute(), place.at("to").minute()
    if end <= start:
        place.at("to").refuse(f"after from, which is {start}")
    compound, colour = place.at("compound"), place.at("colour")
    return (
        None if compound.value is None else compound.one_of(mixtures, "compounds"),
        None if colour.value is None else colour.text(),
        start,
        end,
    )


def _recipes(
    top: Place, mixtures: dict[str, Mixture], stuff: dict[str, Stuff]
) -> dict[tuple[str, str], tuple[tuple[str, float], ...]]:
    found: dict[tuple[str, str], tuple[tuple[str, float], ...]] = {}
    for at in top.at("recipes").rows(MOST_KINDS) if top.has("recipes") else []:
        key = at.at("compound").one_of(mixtures, "compounds"), at.at("colour").text()
        if key in found:
            at.at("colour").refuse("a colour that comes once for its compound")
        needs = []
        for name, need in at.at("needs").named(MOST_KINDS):
            if name not in stuff:
                raise Malformed(need.path, "of one of the supplies", shown(name))
            needs.append((name, need.number()))
        found[key] = tuple(needs)
    return found


def _check_in_progress(asked: Asked) -> None:
    """No line has more casts in progress than it wants, and no mould more casts in it than copies."""
    have: Counter[tuple[str, str]] = Counter()
    taken = {name: sum(minute > 0 for minute in mould.free_at) for name, mould in asked.moulds.items()}
    for poured in asked.poured.values():
        for line, part, quantity in poured.casts:
            have[line, part] += quantity
            taken[asked.part(line, part).mould] += quantity
    for line, part, quantity, _ in asked.out:
        have[line, part] += quantity
    numbers = {line: number for number, line in enumerate(asked.lines)}
    for (line, _), count in have.items():
        if count > asked.lines[line].quantity:
            path = f"orders[{numbers[line]}].quantity"
            raise Malformed(path, f"at least the {count} casts in progress", str(asked.lines[line].quantity))
    for name, used in taken.items():
        if used > asked.moulds[name].copies:
            path = f"moulds.{name}.copies"
            raise Malformed(path, f"at least the {used} in use or damp now", str(asked.moulds[name].copies))
