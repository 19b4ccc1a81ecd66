"""Pictures: the bait as PNG, its sections as SVG."""

from partline.interfaces.figures.bait import bait_png
from partline.interfaces.figures.section import section_svg

__all__ = ["bait_png", "section_svg"]
