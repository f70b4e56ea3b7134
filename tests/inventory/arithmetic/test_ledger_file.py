"""A ledger file checked by itself: what spoils it is noticed and named."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from typing import Any

import pytest

from inventory.arithmetic.ledger_file import COLUMNS, FIELDS, FORM, check_ledger_file, ledger_lines

HEAD = {"row": "ledger", "form": FORM, "written_at": "2026-10-05T08:00:00Z", "currency": "GBP"}
PLACES = [
    {"row": "place", "place": "supplier", "kind": "supplier"},
    {"row": "place", "place": "mix", "kind": "mix"},
    {"row": "place", "place": "waste", "kind": "waste"},
    {"row": "place", "place": "B4", "kind": "container", "material": "Quick compound", "unit": "g"},
    {"row": "place", "place": "Q2", "kind": "container", "material": "Quick compound", "unit": "g"},
]
LOT = {"row": "lot", "lot": "L1", "material": "Quick compound", "unit": "g", "amount": 1000}


def posting(number: int, kind: str, *entries: tuple[str, str, int], **more: Any) -> Iterator[dict[str, Any]]:
    """A posting of lot L1 with its entries from, to, how much."""
    yield {
        "row": "posting",
        "posting": number,
        "kind": kind,
        "request_key": f"key {number}",
        "act": "inventory.act",
        "said": 'Said "so",\nand =more.',
        **more,
    }
    for place, (source, destination, amount) in enumerate(entries):
        yield {
            "row": "entry",
            "posting": number,
            "entry": 10 * number + place,
            "lot": "L1",
            "source": source,
            "destination": destination,
            "amount": amount,
        }


def the_rows() -> list[dict[str, Any]]:
    """One lot: in, over into the working tub with lumps, used, and the use taken back in part by no one."""
    return [
        HEAD,
        *PLACES,
        LOT,
        *posting(1, "receipt", ("supplier", "B4", 1000)),
        *posting(2, "decant", ("B4", "Q2", 390), ("B4", "waste", 10)),
        *posting(3, "draw", ("Q2", "mix", 100)),
        *posting(4, "correction", ("mix", "Q2", 100), reverses=3),
        *posting(5, "draw", ("Q2", "mix", 150)),
        {"row": "holding", "place": "B4", "lot": "L1", "amount": 600},
        {"row": "holding", "place": "Q2", "lot": "L1", "amount": 240},
    ]


def lines_of(rows: list[dict[str, Any]], form: str) -> list[bytes]:
    return "".join(ledger_lines(rows, form)).encode().splitlines(keepends=True)


def faults(lines: list[bytes], form: str) -> list[str]:
    return [str(fault) for fault in check_ledger_file(lambda: iter(lines), form).faults]


def first_of(rows: list[dict[str, Any]], form: str) -> str:
    """The first fault of a ledger that was written so, with a digest that fits."""
    return faults(lines_of(rows, form), form)[0]


both_forms = pytest.mark.parametrize("form", ["csv", "jsonl"])


@both_forms
def test_a_whole_file_agrees_and_is_counted(form: str) -> None:
    checked = check_ledger_file(lambda: iter(lines_of(the_rows(), form)), form)

    assert checked.faults == ()
    assert checked.counts == {"places": 5, "lots": 1, "postings": 5, "entries": 6, "holdings": 2}


def test_every_line_of_json_is_an_object_and_every_row_of_csv_has_all_columns() -> None:
    rows = [json.loads(line) for line in lines_of(the_rows(), "jsonl")]
    assert [row["row"] for row in rows[:3]] == ["ledger", "place", "place"]
    assert rows[-1]["row"] == "end"
    assert rows[-1].keys() == {"row", *FIELDS["end"]}

    assert lines_of(the_rows(), "csv")[0].decode() == ",".join(COLUMNS) + "\r\n"


# Spoiled after it was written -----------------------------------------------------------------------


def cut_short(lines: list[bytes]) -> list[bytes]:
    return lines[:-3]


def its_last_row_gone(lines: list[bytes]) -> list[bytes]:
    return lines[:-1]


def cut_in_the_middle_of_a_row(lines: list[bytes]) -> list[bytes]:
    return [*lines[:9], lines[9][: len(lines[9]) // 2]]


def nothing_left(lines: list[bytes]) -> list[bytes]:
    return []


def an_entry_gone(lines: list[bytes]) -> list[bytes]:
    return [line for line in lines if not is_row(line, "entry") or b"Q2" not in line]


def a_row_twice(lines: list[bytes]) -> list[bytes]:
    return [copy for line in lines for copy in ([line] * (2 if is_row(line, "entry") else 1))]


def an_amount_changed(lines: list[bytes]) -> list[bytes]:
    return [line.replace(b"390", b"391") for line in lines]


def a_word_changed(lines: list[bytes]) -> list[bytes]:
    return [line.replace(b"Said", b"Sold") for line in lines]


def two_lots_swapped(lines: list[bytes]) -> list[bytes]:
    first = next(place for place, line in enumerate(lines) if is_row(line, "place"))
    return [*lines[:first], lines[first + 1], lines[first], *lines[first + 2 :]]


def more_at_the_end(lines: list[bytes]) -> list[bytes]:
    return [*lines, lines[-2]]


def rubbish_between(lines: list[bytes]) -> list[bytes]:
    return [*lines[:6], b"rubbish\n", *lines[6:]]


def no_text_at_all(lines: list[bytes]) -> list[bytes]:
    return [*lines[:6], b"\xff\xfe\n", *lines[6:]]


def is_row(line: bytes, kind: str) -> bool:
    return line.startswith((f"{kind},".encode(), f'{{"row":"{kind}"'.encode()))


SPOILED: list[tuple[Callable[[list[bytes]], list[bytes]], str]] = [
    (cut_short, "the file is cut short: its last row is missing"),
    (its_last_row_gone, "the file is cut short: its last row is missing"),
    (cut_in_the_middle_of_a_row, "line 10: "),
    (nothing_left, ""),
    (an_entry_gone, "B4 holds 600 of lot L1 by its holding, 990 by the entries"),
    (a_row_twice, "B4 holds 600 of lot L1 by its holding, 1200 by the entries"),
    (an_amount_changed, "B4 holds 600 of lot L1 by its holding, 599 by the entries"),
    (a_word_changed, "the file was changed since it was written: its digest differs"),
    (two_lots_swapped, "the file was changed since it was written: its digest differs"),
    (more_at_the_end, "line "),
    (rubbish_between, "line 7: "),
    (no_text_at_all, "line 7: is no UTF-8 text"),
]


@both_forms
@pytest.mark.parametrize(("spoil", "sentence"), SPOILED, ids=[spoil.__name__ for spoil, _ in SPOILED])
def test_what_happened_to_the_file_is_said_first(
    form: str, spoil: Callable[[list[bytes]], list[bytes]], sentence: str
) -> None:
    found = faults(spoil(lines_of(the_rows(), form)), form)

    assert found
    assert found[0].startswith(sentence)


@both_forms
def test_any_single_byte_changed_is_noticed(form: str) -> None:
    """All bytes of a file, one at a time; the digest's own too."""
    whole = b"".join(lines_of(the_rows(), form))

    silent = [
        place
        for place in range(len(whole))
        if not faults(
            (whole[:place] + bytes([whole[place] ^ 1]) + whole[place + 1 :]).splitlines(keepends=True), form
        )
    ]

    assert silent == []


# Written wrong, with a digest that fits -------------------------------------------------------------


def without(rows: list[dict[str, Any]], **named: Any) -> list[dict[str, Any]]:
    return [row for row in rows if not named.items() <= row.items()]


def changed(rows: list[dict[str, Any]], named: dict[str, Any], **change: Any) -> list[dict[str, Any]]:
    assert any(named.items() <= row.items() for row in rows)
    return [row | change if named.items() <= row.items() else row for row in rows]


@both_forms
def test_books_that_do_not_add_up_are_noticed_though_the_digest_fits(form: str) -> None:
    rows = the_rows()
    wrong = {
        "B4 holds 601 of lot L1": changed(rows, {"row": "holding", "place": "B4"}, amount=601),
        "B4 holds 0 of lot L1": without(rows, row="holding", place="B4"),
        "posting 4 reverses posting 3, but not exactly": changed(
            changed(rows, {"entry": 40}, amount=99), {"place": "Q2", "row": "holding"}, amount=239
        ),
        "posting 5 reverses posting 3, reversed before": changed(
            rows, {"row": "posting", "posting": 5}, reverses=3
        ),
        "posting 5 reverses posting 4, itself a reversal": changed(
            rows, {"row": "posting", "posting": 5}, reverses=4
        ),
        "lot L1 says 1001 came in, the entries say 1000": changed(rows, {"row": "lot"}, amount=1001),
        "posting 1 has lot L1 in B4, a tub of another material": changed(
            rows, {"row": "place", "place": "B4"}, material="Slow plaster"
        ),
        "posting 3 belongs to no act: nobody did it": changed(
            rows, {"row": "posting", "posting": 3}, act=None
        ),
    }

    assert [
        sentence for sentence, rows in wrong.items() if not first_of(rows, form).startswith(sentence)
    ] == []


@both_forms
def test_postings_out_of_order_without_entries_or_below_zero_are_noticed(form: str) -> None:
    rows = the_rows()
    receipt = [row for row in rows if row.get("posting") == 1]
    late = [row for row in rows if row.get("posting") != 1]
    late[-2:-2] = [row | {"posting": 6} for row in receipt]

    assert first_of(late, form) == "B4 held -400 of lot L1 after posting 2"
    assert "posting 6 moves nothing" in first_of([*rows[:-2], *posting(6, "draw"), *rows[-2:]], form)
    swapped = [row for row in rows if row.get("posting") != 3]
    swapped[-2:-2] = [row for row in rows if row.get("posting") == 3]
    assert any("out of order" in fault for fault in faults(lines_of(swapped, form), form))


@both_forms
def test_rows_that_are_no_rows_are_named_by_their_line(form: str) -> None:
    rows = the_rows()
    line = 8 if form == "jsonl" else 9
    for wrong, sentence in [
        ({"row": "posting", "posting": "one", "kind": "draw"}, "has 'one' for posting"),
        ({"row": "posting", "posting": 1, "request_key": "k"}, "has no kind"),
        ({"row": "holding", "place": "B4", "lot": "L1"}, "has no amount"),
        (HEAD, f"is not the head of a {FORM}"),
    ]:
        found = first_of([*rows[:7], wrong, *rows[7:]], form)
        assert found.startswith(f"line {line}: {sentence}"), found


def test_another_form_is_refused() -> None:
    assert first_of([HEAD | {"form": "studio-ledger 2"}], "jsonl") == f"line 1: is not the head of a {FORM}"
    assert faults([b"row,place\r\n"], "csv") == ["line 1: has not the columns of a ledger"]
    assert "is no row of a ledger" in faults([b'{"row":"tub"}\n'], "jsonl")[0]
    assert faults([b"[1]\n"], "jsonl") == ["line 1: is no JSON object"]
    assert "3 cells" in faults([lines_of([HEAD], "csv")[0], b"a,b,c\r\n"], "csv")[0]
