"""Invented planning problems of any size, in the exchanged form, the same for the same seed."""

import random
from typing import Any

DAY = 1440
COLOURS = ("Slate", "Fog", "Brick", "Samphire", "Rust", "Shell")

COMPOUNDS = {
    "Quick": {
        "working_minutes": 12,
        "open_after_minutes": 45,
        "dry_hours": 36,
        "slurry_g_per_ml": 1.7,
        "powder_share": 0.75,
    },
    "Slow": {
        "working_minutes": 20,
        "open_after_minutes": 120,
        "dry_hours": 72,
        "slurry_g_per_ml": 1.6,
        "powder_share": 0.6,
    },
}
# name: copies, fill, open, rest minutes
MOULDS = {
    "pot": (4, 1, 2, 90),
    "saucer": (4, 1, 1, 60),
    "tray": (2, 2, 2, 120),
    "bookend": (2, 2, 3, 240),
    "cup": (8, 1, 1, 60),
    "dish": (4, 1, 1, 60),
    "dish lid": (4, 1, 1, 60),
    "soap": (6, 0.5, 1, 60),
}
ARTICLES = {
    "Pot and saucer": dict(
        parts=[("pot", "pot", 320, "Quick"), ("saucer", "saucer", 110, "Quick")],
        coats=2, coat_minutes=3, recoat_hours=4, fill_minutes=0, cure_hours=0, pack_minutes=8,
    ),
    "Tray": dict(
        parts=[("tray", "tray", 420, "Quick")],
        coats=2, coat_minutes=2, recoat_hours=4, fill_minutes=0, cure_hours=0, pack_minutes=6,
    ),
    "Bookend": dict(
        parts=[("body", "bookend", 650, "Slow")],
        coats=1, coat_minutes=3, recoat_hours=12, fill_minutes=0, cure_hours=0, pack_minutes=10,
    ),
    "Filled cup": dict(
        parts=[("cup", "cup", 90, "Quick")],
        coats=2, coat_minutes=1, recoat_hours=4, fill_minutes=2, cure_hours=72, pack_minutes=6,
    ),
    "Lidded dish": dict(
        parts=[("dish", "dish", 140, "Slow"), ("lid", "dish lid", 60, "Slow")], matched=True,
        coats=1, coat_minutes=2, recoat_hours=6, fill_minutes=0, cure_hours=0, pack_minutes=6,
    ),
    "Soap dish": dict(
        parts=[("dish", "soap", 80, "Quick")],
        coats=0, coat_minutes=0, recoat_hours=0, fill_minutes=0, cure_hours=0, pack_minutes=4,
    ),
}  # fmt: skip


def a_problem_form(
    lines: int,
    seed: int = 0,
    *,
    days: int | None = None,
    pairs: int = 1,
    powder_g: float = 1e6,
    receipts: tuple[tuple[int, float], ...] = (),
    closed_days: tuple[int, ...] = (),
    in_progress: bool = True,
    slack: float = 1.0,
) -> dict[str, Any]:
    """An invented problem; `slack` stretches the days over which the lines are due."""
    rng = random.Random(seed)
    per_day = 3.0 * pairs
    due_days = max(8, round(lines / per_day * slack) + 6)
    length = days if days is not None else due_days * 2 + 28
    windows = []
    for day in range(length):
        if day % 7 < 5 and day not in closed_days:
            windows.append({"from": day * DAY + 540, "to": day * DAY + 750, "pairs": pairs})
            windows.append({"from": day * DAY + 795, "to": day * DAY + 1020, "pairs": pairs})
    scale = max(1, round(lines / 60))
    form: dict[str, Any] = {
        "form": "casting-plan-problem 1",
        "minutes": length * DAY,
        "hands": windows,
        "mix": {"weigh_and_mix_minutes": 8, "clean_up_minutes": 5, "residue_g": 60, "jug_g": 2600},
        "late_step_days": 2,
        "compounds": COMPOUNDS,
        "powder": {
            name: {"opening_g": powder_g, "receipts": [{"at": at, "g": g} for at, g in receipts]}
            for name in COMPOUNDS
        },
        "moulds": {
            name: {
                "copies": copies * scale,
                "fill_minutes": fill,
                "open_minutes": opening,
                "rest_minutes": rest,
            }
            for name, (copies, fill, opening, rest) in MOULDS.items()
        },
        "articles": {name: _article(facts) for name, facts in ARTICLES.items()},
        "orders": [_line(rng, number, due_days) for number in range(lines)],
        "poured": [],
        "out_of_mould": [],
        "pins": [],
    }
    if in_progress:
        _add_in_progress(rng, form)
    return form


def a_supplied_form(lines: int, seed: int, **kind: Any) -> dict[str, Any]:
    """An invented problem: one article is sealed, one boxed, and a colour needs a pigment that comes late."""
    form = a_problem_form(lines, seed, **kind)
    form["supplies"] = {
        "sealer": {"opening": 60, "receipts": [{"at": 10 * DAY + 600, "amount": 5000}]},
        "box": {"opening": 15, "receipts": [{"at": 12 * DAY, "amount": 5000}]},
        "ochre": {"opening": 30, "receipts": [{"at": 9 * DAY + 30, "amount": 5000}]},
    }
    form["recipes"] = [{"compound": "Quick", "colour": "Brick", "needs": {"ochre": 0.03}}]
    seal = {"name": "seal", "wait_minutes": 600, "minutes_each": 1, "minutes_per_batch": 3}
    form["articles"]["Tray"]["steps"] = [{**seal, "needs": {"sealer": {"each": 4, "per_batch": 2}}}]
    form["articles"]["Filled cup"]["pack_needs"] = {"box": {"each": 1}}
    form["moulds"]["saucer"]["open_after_minutes"] = 200
    return form


def _article(facts: dict[str, Any]) -> dict[str, Any]:
    parts = [
        {"name": name, "mould": mould, "ml": ml, "compound": compound, "colour": None}
        for name, mould, ml, compound in facts["parts"]
    ]
    return {"matched": False, **facts, "parts": parts}


def _line(rng: random.Random, number: int, due_days: int) -> dict[str, Any]:
    day = rng.randrange(5, due_days)
    return {
        "id": str(101 + number),
        "article": rng.choice(sorted(ARTICLES)),
        "colour": rng.choice(COLOURS),
        "quantity": rng.choice((1, 1, 2, 2, 3, 4, 6, 8, 12)),
        "ship_by": day * DAY + 1020,
        "weight": rng.choice((1, 1, 1, 2)),
    }


def _add_in_progress(rng: random.Random, form: dict[str, Any]) -> None:
    """Put a few casts of the first lines in moulds and on boards."""
    for number, line in enumerate(form["orders"][: max(1, len(form["orders"]) // 10)]):
        article = form["articles"][line["article"]]
        quantity = min(line["quantity"], 2)
        casts = [
            {"line": line["id"], "part": part["name"], "quantity": quantity} for part in article["parts"]
        ]
        if rng.random() < 0.5:
            form["out_of_mould"] += [{**cast, "opened_at": -rng.randrange(1, 2000)} for cast in casts]
        elif all(
            _copies_used(form, part["mould"]) + quantity <= form["moulds"][part["mould"]]["copies"]
            for part in article["parts"]
        ):
            form["poured"].append(
                {
                    "id": f"P{number}",
                    "compound": article["parts"][0]["compound"],
                    "colour": line["colour"],
                    "filled_at": -rng.randrange(1, 900),
                    "casts": casts,
                }
            )


def _copies_used(form: dict[str, Any], mould: str) -> int:
    articles = {line["id"]: form["articles"][line["article"]] for line in form["orders"]}
    return sum(
        cast["quantity"]
        for poured in form["poured"]
        for cast in poured["casts"]
        for part in articles[cast["line"]]["parts"]
        if part["name"] == cast["part"] and part["mould"] == mould
    )


def a_tiny_form(seed: int) -> dict[str, Any]:
    """Three short lines of two articles, one part each, tight: small enough to try everything."""
    rng = random.Random(seed)

    def article(mould: str) -> dict[str, Any]:
        return {
            "parts": [{"name": "body", "mould": mould, "ml": 200, "compound": "Quick", "colour": None}],
            "matched": False,
            "coats": rng.choice((0, 1)),
            "coat_minutes": 20,
            "recoat_hours": 2,
            "fill_minutes": 0,
            "cure_hours": 0,
            "pack_minutes": 15,
        }

    orders = [
        {
            "id": str(number + 1),
            "article": rng.choice(("Left", "Right")),
            "colour": rng.choice(("Fog", "Fog", "Rust")),
            "quantity": rng.choice((1, 1, 2)),
            "ship_by": rng.randrange(1, 4) * DAY + rng.choice((600, 700)),
            "weight": rng.choice((1, 2)),
        }
        for number in range(rng.choice((2, 3)))
    ]
    while sum(line["quantity"] for line in orders) > 4:
        orders[-1]["quantity"] = orders[0]["quantity"] = 1
        orders = orders[:3] if sum(line["quantity"] for line in orders) <= 4 else orders[:2]
    return {
        "form": "casting-plan-problem 1",
        "minutes": 30 * DAY,
        "hands": [{"from": day * DAY + 540, "to": day * DAY + 700, "pairs": 1} for day in range(30)],
        "mix": {"weigh_and_mix_minutes": 15, "clean_up_minutes": 5, "residue_g": 50, "jug_g": 1000},
        "late_step_days": 2,
        "compounds": {
            "Quick": {
                "working_minutes": 12,
                "open_after_minutes": 50,
                "dry_hours": 20,
                "slurry_g_per_ml": 1.7,
                "powder_share": 0.7,
            }
        },
        "powder": {"Quick": {"opening_g": 1e5, "receipts": []}},
        "moulds": {
            "left": {"copies": rng.choice((1, 2)), "fill_minutes": 3, "open_minutes": 4, "rest_minutes": 60},
            "right": {"copies": 1, "fill_minutes": 4, "open_minutes": 5, "rest_minutes": 90},
        },
        "articles": {"Left": article("left"), "Right": article("right")},
        "orders": orders,
        "poured": [],
        "out_of_mould": [],
        "pins": [],
    }
