"""What plain fused plastic does to light, where no grade of the shelf is meant."""

from __future__ import annotations

#: Absorption and its exponent, scattering and its exponent against (λ/550 nm), mean cosine:
#: nearly clear. A default; a chip's colour hardly moves with it. [1/m], [-], [1/m], [-], [-]
PLAIN = (2.5, -1.2, 20.0, -0.5, 0.85)
