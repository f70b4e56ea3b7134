"""The checker itself: it accepts a sound plan and notices every kind of spoiled one."""

import copy

import pytest

from production.planning.effort import Effort
from production.planning.forms import plan_to_form, problem_from_form
from production.planning.solve import plan
from tests.production.planning.checker import faults_in
from tests.production.planning.generator import COMPOUNDS, a_problem_form

DAY = 1440


def sound(seed):
    """A problem with casts in progress, matched parts and candle fills, and a plan of it."""
    problem = a_problem_form(14, seed)
    for number, article in enumerate(("Filled cup", "Lidded dish", "Pot and saucer")):
        problem["orders"][-1 - number]["article"] = article
        problem["orders"][-1 - number]["quantity"] = 3
    first = problem["orders"][0]
    part = problem["articles"][first["article"]]["parts"][0]
    cast = {"line": first["id"], "part": part["name"], "quantity": 1}
    problem["out_of_mould"] = []
    problem["articles"][first["article"]]["matched"] = False
    use_supplies(problem)
    problem["poured"] = [
        {
            "id": "P1",
            "compound": part["compound"],
            "colour": first["colour"],
            "filled_at": 500,
            "casts": [cast],
        }
    ]
    return problem, plan_to_form(plan(problem_from_form(problem), effort=Effort(rules=3)))


def use_supplies(problem):
    """Boxes, a sealer, a pigment and one powder for both compounds, enough of each."""
    problem["supplies"] = {
        name: {"opening": 1e6, "receipts": []} for name in ("box", "sealer", "brick red", "powder")
    }
    problem["compounds"] = {name: {**facts, "powder": "powder"} for name, facts in COMPOUNDS.items()}
    colours = {line["colour"] for line in problem["orders"]}
    problem["recipes"] = [
        {"compound": compound, "colour": colour, "needs": {"brick red": 0.03}}
        for compound in COMPOUNDS
        for colour in sorted(colours)
    ]
    for article in problem["articles"].values():
        article["pack_needs"] = {"box": {"each": 1}}
    tray = problem["articles"]["Tray"]
    for field in ("coats", "coat_minutes", "recoat_hours", "fill_minutes", "cure_hours"):
        del tray[field]
    coat = {"name": "coat 1", "wait_minutes": None, "minutes_each": 2, "minutes_per_batch": 1}
    tray["steps"] = [{**coat, "needs": {"sealer": {"each": 4, "per_batch": 10}}}]
    tray["pack_wait_minutes"] = 240


def line_of(problem, article):
    return next(
        line for line in problem["orders"] if line["article"] == article and line is not problem["orders"][0]
    )


def steps_of(made, line_id):
    return [step for step in made["steps"] if step["line"] == line_id]


def biggest_mix(made):
    return max(made["mixes"], key=lambda mix: sum(cast["quantity"] for cast in mix["casts"]))


def before_hours(problem, made):
    made["mixes"][0]["start"] = made["mixes"][0]["start"] // DAY * DAY + 500


def two_at_once(problem, made):
    made["mixes"][1]["start"] = made["mixes"][0]["start"]


def opened_too_soon(problem, made):
    made["mixes"][0]["opened"] = made["mixes"][0]["start"] + 40


def opened_at_night(problem, made):
    made["mixes"][0]["opened"] = made["mixes"][0]["opened"] // DAY * DAY + 1300


def a_cast_short(problem, made):
    made["mixes"][0]["casts"][0]["quantity"] -= 1
    made["mixes"][0]["casts"] = [cast for cast in made["mixes"][0]["casts"] if cast["quantity"]]


def a_cast_too_many(problem, made):
    made["mixes"][-1]["casts"][0]["quantity"] += 1


def a_mix_left_out(problem, made):
    made["mixes"].pop()


def another_colour(problem, made):
    made["mixes"][0]["colour"] = "Chalk"


def another_compound(problem, made):
    made["mixes"][0]["compound"] = "Slow" if made["mixes"][0]["compound"] == "Quick" else "Quick"


def parts_parted(problem, made):
    line_id = line_of(problem, "Lidded dish")["id"]
    mix = next(mix for mix in made["mixes"] if any(cast["line"] == line_id for cast in mix["casts"]))
    mix["casts"] = [cast for cast in mix["casts"] if (cast["line"], cast["part"]) != (line_id, "lid")]


def coated_wet(problem, made):
    line_id = line_of(problem, "Pot and saucer")["id"]
    steps_of(made, line_id)[0]["start"] -= DAY


def coats_exchanged(problem, made):
    first, second = steps_of(made, line_of(problem, "Pot and saucer")["id"])[:2]
    first["start"], second["start"] = second["start"], first["start"]


def a_coat_left_out(problem, made):
    made["steps"].remove(steps_of(made, line_of(problem, "Pot and saucer")["id"])[1])


def a_coat_twice(problem, made):
    made["steps"].append(dict(steps_of(made, line_of(problem, "Pot and saucer")["id"])[1]))


def packed_uncured(problem, made):
    fill, pack = steps_of(made, line_of(problem, "Filled cup")["id"])[-2:]
    pack["start"] = fill["start"] + 60


def never_packed(problem, made):
    made["steps"] = [step for step in made["steps"] if step["step"] != "pack" or step["line"] != "105"]


def filled_too_slowly(problem, made):
    for mould in problem["moulds"].values():
        mould["fill_minutes"] = 25


def jug_too_small(problem, made):
    problem["mix"]["jug_g"] = 200


def copies_missing(problem, made):
    problem["poured"], made["opened"] = [], {}
    cast = max(biggest_mix(made)["casts"], key=lambda cast: cast["quantity"])
    line = next(line for line in problem["orders"] if line["id"] == cast["line"])
    part = next(
        part for part in problem["articles"][line["article"]]["parts"] if part["name"] == cast["part"]
    )
    problem["moulds"][part["mould"]]["copies"] = cast["quantity"] - 1


def own_powder_missing(problem, made):
    problem["compounds"] = COMPOUNDS
    for name in problem["powder"]:
        problem["powder"][name]["opening_g"] = 500


def own_powder_late(problem, made):
    problem["compounds"] = COMPOUNDS
    for name in problem["powder"]:
        problem["powder"][name] = {"opening_g": 0, "receipts": [{"at": made["mixes"][-1]["start"], "g": 1e6}]}


def shared_powder_missing(problem, made):
    """Enough for either compound alone, too little for both."""
    grams = dict.fromkeys(COMPOUNDS, 0.0)
    for mix in made["mixes"]:
        facts = COMPOUNDS[mix["compound"]]
        slurry = problem["mix"]["residue_g"] + sum(
            part["ml"] * facts["slurry_g_per_ml"] * cast["quantity"]
            for cast in mix["casts"]
            for line in problem["orders"]
            if line["id"] == cast["line"]
            for part in problem["articles"][line["article"]]["parts"]
            if part["name"] == cast["part"]
        )
        grams[mix["compound"]] += slurry * facts["powder_share"]
    assert all(grams.values())
    problem["supplies"]["powder"]["opening"] = max(grams.values()) + 1


def pigment_missing(problem, made):
    problem["supplies"]["brick red"]["opening"] = 3


def boxes_late(problem, made):
    """The last box comes a minute after the last line is packed."""
    pieces = sum(line["quantity"] for line in problem["orders"])
    last = max(step["start"] for step in made["steps"] if step["step"] == "pack")
    problem["supplies"]["box"] = {
        "opening": pieces - 1,
        "receipts": [{"at": last + 1, "amount": 1}],
    }


def sealer_missing(problem, made):
    """Enough for the pieces, not for what stays in the brush."""
    trays = [line for line in problem["orders"] if line["article"] == "Tray"]
    needed = sum(4 * line["quantity"] + 10 for line in trays)
    problem["supplies"]["sealer"]["opening"] = needed - 1


def a_slow_mould_opened_as_the_others(problem, made):
    cast = made["mixes"][0]["casts"][0]
    line = next(line for line in problem["orders"] if line["id"] == cast["line"])
    parts = problem["articles"][line["article"]]["parts"]
    mould = next(part["mould"] for part in parts if part["name"] == cast["part"])
    mix = made["mixes"][0]
    problem["moulds"][mould]["open_after_minutes"] = mix["opened"] - mix["start"]


def packed_after_the_calendar(problem, made):
    made["steps"][-1]["start"] = problem["minutes"] + 600


def all_of_a_line_left_out(problem, made):
    line_id = made["mixes"][-1]["casts"][0]["line"]
    for mix in made["mixes"]:
        mix["casts"] = [cast for cast in mix["casts"] if cast["line"] != line_id]
    made["mixes"] = [mix for mix in made["mixes"] if mix["casts"]]
    made["steps"] = [step for step in made["steps"] if step["line"] != line_id]


def the_same_mix_twice(problem, made):
    made["mixes"].append(dict(made["mixes"][0]))


def a_mix_over_the_break(problem, made):
    mix = biggest_mix(made)
    mix["start"] = mix["start"] // DAY * DAY + 745


def old_mix_opened_too_soon(problem, made):
    problem["poured"][0]["filled_at"] = made["opened"]["P1"] - 5


def old_mix_forgotten(problem, made):
    made["opened"] = {}


def mould_still_damp(problem, made):
    for mould in problem["moulds"].values():
        mould["rest_minutes"] = 30 * DAY


def poured_before_allowed(problem, made):
    for line in problem["orders"]:
        line["not_before"] = 60 * DAY


def pin_missed(problem, made):
    problem["pins"] = [{"compound": "Quick", "colour": "Chalk", "from": 0, "to": DAY}]


def empty_mix(problem, made):
    made["mixes"].append({"start": 540, "compound": "Quick", "colour": "Fog", "casts": [], "opened": 700})


def fewer_hands(problem, made):
    for window in problem["hands"]:
        window["pairs"] = 0


SPOILED = {
    before_hours: "not inside working hours",
    two_at_once: "pairs of hands",
    opened_too_soon: "opened before it has set",
    opened_at_night: "not inside working hours",
    a_cast_short: " has ",
    a_cast_too_many: " has ",
    a_mix_left_out: " has ",
    another_colour: "of another colour",
    another_compound: "of another compound",
    parts_parted: "whose parts must match",
    coated_wet: "begins before",
    coats_exchanged: "begins before",
    a_coat_left_out: "has the steps",
    a_coat_twice: "has the steps",
    packed_uncured: "begins before",
    never_packed: "has the steps",
    filled_too_slowly: "minutes to fill",
    jug_too_small: "more than the jug",
    copies_missing: "are in use",
    own_powder_missing: "are there",
    own_powder_late: "are there",
    shared_powder_missing: "of powder in all",
    pigment_missing: "of brick red in all",
    boxes_late: "of box in all",
    sealer_missing: "of sealer in all",
    a_slow_mould_opened_as_the_others: "opened before it has set",
    packed_after_the_calendar: "not inside working hours",
    all_of_a_line_left_out: "has the steps none",
    the_same_mix_twice: " has ",
    a_mix_over_the_break: "not inside working hours",
    old_mix_opened_too_soon: "opened before it has set",
    old_mix_forgotten: "is never opened",
    mould_still_damp: "are in use",
    poured_before_allowed: "too early",
    pin_missed: "no mix of Quick in Chalk",
    empty_mix: "is empty",
    fewer_hands: "pairs of hands",
}


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_sound_plan_has_no_faults(seed):
    problem, made = sound(seed)

    assert faults_in(problem, made) == []


@pytest.mark.parametrize("seed", [1, 2, 3])
@pytest.mark.parametrize("spoil", SPOILED, ids=lambda spoil: spoil.__name__)
def test_a_spoiled_plan_is_noticed(spoil, seed):
    problem, made = copy.deepcopy(sound(seed))

    spoil(problem, made)

    faults = faults_in(problem, made)
    assert any(SPOILED[spoil] in fault for fault in faults), faults


def test_a_fault_names_the_rule_and_the_place():
    problem, made = copy.deepcopy(sound(1))
    made["mixes"][3]["opened"] = made["mixes"][3]["start"] + 40

    assert any(
        fault.startswith("mixes[3]: opened before it has set") and fault.endswith("(setting)")
        for fault in faults_in(problem, made)
    )


def test_a_line_may_be_left_out_when_the_plan_says_so():
    problem, made = copy.deepcopy(sound(1))
    all_of_a_line_left_out(problem, made)
    left_out = {line["id"] for line in problem["orders"]} - {step["line"] for step in made["steps"]}

    assert faults_in(problem, {**made, "unplaced": sorted(left_out)}) == []
