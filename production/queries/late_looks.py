"""What a look into the late lines of a plan found, as the Week reads it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass

from production.models import ArticlePart, LateLook, LateOffer, LateReason, OfferedLine, Plan


@dataclass(frozen=True)
class LateOfferRead:
    """An offer with the lines it makes less late, by the line's row."""

    offer: LateOffer
    helped: Mapping[int, OfferedLine]


@dataclass(frozen=True)
class LateLookRead:
    """A look into a plan's late lines: reasons by the line's row, offers with what saves most first.

    `moulds` are those that each article is cast in.
    """

    look: LateLook
    reasons: Mapping[int, LateReason]
    offers: tuple[LateOfferRead, ...]
    moulds: Mapping[int, Collection[int]]

    @property
    def is_whole(self) -> bool:
        """Whether it went to its end, with a reason for every line."""
        return self.look.is_whole and all(
            reason.kind != LateReason.Kind.NOT_YET for reason in self.reasons.values()
        )


def late_look_of(plan: Plan) -> LateLookRead | None:
    """The look into a plan's late lines, None while there is none. Five queries at most."""
    look = LateLook.objects.filter(plan=plan).first()
    if look is None:
        return None
    reasons = {reason.line_id: reason for reason in look.reasons.all()}
    moulds: dict[int, set[int]] = defaultdict(set)
    parts = ArticlePart.objects.filter(article__in=look.reasons.values("line__article"))
    for article_id, mould_id in parts.values_list("article_id", "mould_id"):
        moulds[article_id].add(mould_id)
    helped: dict[int, dict[int, OfferedLine]] = {}
    for line in OfferedLine.objects.filter(offer__look=look):
        helped.setdefault(line.offer_id, {})[line.line_id] = line
    offers = look.offers.select_related("line").order_by("position")
    return LateLookRead(
        look, reasons, tuple(LateOfferRead(offer, helped.get(offer.pk, {})) for offer in offers), moulds
    )
