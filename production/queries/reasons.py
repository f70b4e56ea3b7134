"""Why a cast is a second or scrap, in the words of the plates."""

from __future__ import annotations

from production.models import REASONS

# The words on the plate, and what the plate sends.
REASON_PLATES = tuple((reason.capitalize(), {"reason": reason}) for reason in REASONS)
