"""Pictures: the bait as PNG, its sections and its outline as SVG."""

from partline.interfaces.figures.bait import bait_png
from partline.interfaces.figures.body import Facing, body_svg
from partline.interfaces.figures.section import section_svg

__all__ = ["Facing", "bait_png", "body_svg", "section_svg"]
