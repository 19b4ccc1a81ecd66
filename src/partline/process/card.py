"""The printed card that chips are read on, and the grey that a bait is judged over."""

from __future__ import annotations

#: Reflectance of the printed card's halves, and of the grey that a bait is judged over. [-]
CARD_WHITE, CARD_BLACK, GREY = 0.85, 0.04, 0.40
