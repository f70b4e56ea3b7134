"""Codes that hands type and scanners read: each carries a check character, so that a slip is caught."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from stdnum.exceptions import ValidationError
from stdnum.iso7064 import mod_37_36

from inventory.errors import StudioError

# No vowels, so that no mark spells a word; no 0, 1 or L, which are read as O and I. Twenty-eight signs, and
# 29 is a prime, as 37 is for the standard's own alphabet: single slips are all caught.
MARK_ALPHABET = "23456789BCDFGHJKMNPQRSTVWXYZ"
MARK_LETTERS_LEAST = 3
# Multiplier and shift of the scramble, by number of letters before the check character. Each multiplier is
# odd and no multiple of seven, hence without a factor in common with 28, and near 0.618 of the whole range,
# so that pieces made one after the other get marks that do not look alike.
_SCRAMBLE = {3: (13567, 4021), 4: (379_853, 90_007), 5: (10_636_013, 3_000_017)}


class CodeNotUnderstood(StudioError):
    """The text is no code, or its check character does not fit; facts `text`, `reason`."""


@dataclass(frozen=True)
class Code:
    """A short code taken apart: `prefix` says what kind of thing it is, `number` which one."""

    prefix: str
    number: int


def make_code(number: int, prefix: str) -> str:
    """Give the code of a tub, lot, mix or order: prefix, number, hyphen, check character ("B4-K").

    Source: ISO/IEC 7064:2003, system MOD 37,36, over prefix and number.
    """
    if number < 1:
        raise ValueError("codes are counted from 1")
    if not re.fullmatch(r"[A-Z]{1,3}", prefix):
        raise ValueError("a prefix is one to three capital letters")
    body = f"{prefix}{number}"
    return f"{body}-{mod_37_36.calc_check_digit(body)}"


def read_code(text: str) -> Code:
    """Read a code as typed or scanned; small letters, spaces and a missing hyphen do no harm.

    Raises: CodeNotUnderstood.
    """
    bare = re.sub(r"[\s-]", "", text).upper()
    found = re.fullmatch(r"([A-Z]{1,3})([1-9][0-9]{0,11})([0-9A-Z])", bare, flags=re.ASCII)
    if not found:
        raise CodeNotUnderstood(f'"{text.strip()[:40]}" is not a code.', text=text, reason="shape")
    if not mod_37_36.is_valid(bare):
        raise CodeNotUnderstood(
            f"{text.strip()[:40]} has a wrong sign in it: the last one does not fit. Type it again.",
            text=text,
            reason="check character",
        )
    return Code(prefix=found.group(1), number=int(found.group(2)))


def make_piece_mark(number: int) -> str:
    """Give the mark of the `number`th piece ever made (counted from 1): four signs, later five, then six.

    A counter, scrambled so that neighbours look different, in 28 signs without vowels, 0, 1 and L, and one
    check character. 21,952 marks have four signs, the next 614,656 five, the next 17,210,368 six.

    Source: check character by ISO/IEC 7064:2003 in its hybrid form, MOD 29,28 for this alphabet.
    """
    if number < 1:
        raise ValueError("pieces are counted from 1")
    place = number - 1
    for letters, (multiplier, shift) in _SCRAMBLE.items():
        size = _size(letters)
        if place < size:
            body = _letters_of((place * multiplier + shift) % size, letters)
            return body + mod_37_36.calc_check_digit(body, MARK_ALPHABET)
        place -= size
    raise ValueError("more pieces than there are marks")


def piece_number(mark: str) -> int:
    """Give the number of the piece that bears `mark`; the inverse of `make_piece_mark`.

    Raises: CodeNotUnderstood when it is no mark or its check character does not fit.
    """
    bare = tidy_mark(mark)
    letters = len(bare) - 1
    if letters not in _SCRAMBLE or any(sign not in MARK_ALPHABET for sign in bare):
        raise CodeNotUnderstood(f'"{mark.strip()[:40]}" is not a piece mark.', text=mark, reason="shape")
    try:
        mod_37_36.validate(bare, MARK_ALPHABET)
    except ValidationError as wrong:
        raise CodeNotUnderstood(
            f"{bare} is no piece: one of its signs is wrong. Look again.", text=mark, reason="check character"
        ) from wrong
    multiplier, shift = _SCRAMBLE[letters]
    size = _size(letters)
    scrambled: int = 0
    for sign in bare[:-1]:
        scrambled = scrambled * len(MARK_ALPHABET) + MARK_ALPHABET.index(sign)
    unscramble: int = pow(multiplier, -1, size)
    place = (scrambled - shift) * unscramble % size
    before = sum(_size(shorter) for shorter in _SCRAMBLE if shorter < letters)
    return before + place + 1


def tidy_mark(text: str) -> str:
    """Give a mark as it is kept: capitals, without spaces and hyphens."""
    return re.sub(r"[\s-]", "", text).upper()


def _size(letters: int) -> int:
    """Give how many marks there are of so many letters before the check character."""
    return int(len(MARK_ALPHABET) ** letters)


def _letters_of(number: int, letters: int) -> str:
    signs = []
    for _ in range(letters):
        number, place = divmod(number, len(MARK_ALPHABET))
        signs.append(MARK_ALPHABET[place])
    return "".join(reversed(signs))


def near_codes(code: str, known: Iterable[str], most: int = 3) -> list[str]:
    """Give the known codes that are one or two slips away from `code`, nearest first, at most `most`.

    A slip is one sign wrong, missing, too many, or two neighbours swapped. Codes equally near stay in the
    order of the alphabet.

    Source: Damerau, Communications of the ACM 7 (1964) 171-176 (the four slips), from memory.
    """
    typed = tidy_mark(code)
    if not typed:
        return []
    # Two slips in a code of three signs leave one right: that is another code, not a near one.
    slips_most = 1 if len(typed) <= 3 else 2
    measured = ((_slips(typed, tidy_mark(other)), other) for other in known)
    return [other for slips, other in sorted(measured) if slips <= slips_most][:most]


def _slips(one: str, two: str) -> int:
    """Count the slips between two codes (optimal string alignment)."""
    if abs(len(one) - len(two)) > 2:
        return 3
    rows = [list(range(len(two) + 1))]
    for row, sign in enumerate(one, start=1):
        line = [row]
        for column, other in enumerate(two, start=1):
            best = min(
                rows[row - 1][column] + 1,
                line[column - 1] + 1,
                rows[row - 1][column - 1] + (sign != other),
            )
            if row > 1 and column > 1 and sign == two[column - 2] and one[row - 2] == other:
                best = min(best, rows[row - 2][column - 2] + 1)
            line.append(best)
        rows.append(line)
    return rows[-1][-1]
