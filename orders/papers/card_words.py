"""The words that stand on every care card, and the studio's own in their place, in any language.

The candle cautions are the usual ones in our own words; the studio checks them against the standard in force
where it sells. A usual line without the studio's own words stands as it is, so no caution is lost by leaving
it out.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.conf import settings

from inventory.errors import StudioError
from inventory.ports import StudioFacts

LANGUAGE = "en-GB"
USUAL_CARE = (
    "Cast mineral, poured by hand and sealed. Small bubbles and a change of tone are part of how it is made.",
    "Wipe with a soft damp cloth. No soaking, no dishwasher, no acid cleaners: vinegar and lemon mark it.",
    "Not for food or drink.",
    "Put felt under it on polished wood.",
)
NEVER_LEAVE = ("Never leave a burning candle.", "Keep it in sight.")
# Three that are always there, then the usual ones. Source of what they ask: EN 15494:2019 (label list as seen
# in a laboratory's notice); a US trade body's rules for 4 h at most and 1/2 in (13 mm) of wax left; the rest
# is common practice, no source. A card in the box does not stand in for the label on the candle itself.
CANDLE_CAUTIONS = (
    "Keep away from children and pets.",
    "Keep away from anything that can catch fire, and from draughts.",
    "Stand it level, on something heat does not harm.",
    "Leave 10 cm between burning candles.",
    "Trim the wick to {wick} mm before lighting. Keep the wax clear of bits.",
    "No more than 3 hours at a time. Stop when 13 mm of wax is left.",
    "Put it out with a snuffer. Do not move it until the wax has set.",
)
THE_CUP = (
    "Cast mineral, sealed, not for food. The outside gets warm. Small bubbles are part of how it is cast."
)
NAMED = {
    "piece": "piece",
    "mix": "mix",
    "looking_after": "Looking after it",
    "broken": "Broken or wrong? Tell us the piece mark:",
    "made_by": "Made by",
    "when_lit": "When you light it",
    "warning": "Warning",
    "the_cup": "The cup",
    "fire_rules": "Local fire rules and the advice of your fire service come first.",
    "code_to": "Code to piece",
}
USUAL = (*NAMED.values(), *USUAL_CARE, *NEVER_LEAVE, *CANDLE_CAUTIONS, THE_CUP)
WICK = "{wick}"


def own_words(text: str) -> dict[str, str]:
    """The studio's own words by the usual line: one "usual line = own words" in each line of `text`.

    Raises: StudioError for a line that stands on no card, or that loses the length the wick is trimmed to.
    """
    found: dict[str, str] = {}
    for line in filter(str.strip, text.splitlines()):
        usual, _, own = (part.strip() for part in line.partition("="))
        if usual not in USUAL:
            raise StudioError(
                f'"{usual[:60]}" stands on no care card. Leave what is before the = as it is,'
                " and write your words after it."
            )
        if own and WICK in usual and WICK not in own:
            raise StudioError(f'Keep {WICK} in "{own[:60]}": the length you trim to is put there.')
        if own:
            found[usual] = own
    return found


def words_to_fill(text: str) -> str:
    """Every usual line with the studio's own words after its =, for the form."""
    own = own_words(text)
    return "\n".join(f"{usual} = {own.get(usual, '')}".rstrip() for usual in USUAL)


def card_language(text: str, language: str) -> str:
    """The language cards are in: `language` once there are own words, else that of the usual ones."""
    return language if own_words(text) else LANGUAGE


def candle_cautions(wick_mm: int, own: Mapping[str, str] | None = None) -> tuple[str, ...]:
    """The cautions of a filled piece, with the length the studio trims wicks to (it differs by market)."""
    return tuple((own or {}).get(line, line).replace(WICK, str(wick_mm)) for line in CANDLE_CAUTIONS)


def card_context(facts: StudioFacts) -> dict[str, Any]:
    """What the template of care cards says on every card, in the studio's words."""
    own = own_words(facts.card_words)
    language = card_language(facts.card_words, facts.card_language)
    return {
        "words": {name: own.get(line, line) for name, line in NAMED.items()},
        "never_leave": tuple(own.get(line, line) for line in NEVER_LEAVE),
        "candle_cautions": candle_cautions(facts.wick_mm, own),
        "the_cup": own.get(THE_CUP, THE_CUP),
        "paper_language": language,
        "from_right": language.partition("-")[0] in settings.LANGUAGES_BIDI,
    }


def usual_care(facts: StudioFacts) -> tuple[str, ...]:
    """What is said of looking after a piece whose article and finish have no words of their own."""
    own = own_words(facts.card_words)
    return tuple(own.get(line, line) for line in USUAL_CARE)
