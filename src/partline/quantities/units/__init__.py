"""Units at the edge: what a maker types becomes SI once, and is asked about where it must be.

Inside the package every number is an SI float. Text comes in through `parse`, numbers go out
through `from_si` and `show`. Only the units of `table` are known; a text with more than one
reading raises `partline.errors.Ambiguous`, which is a question, and nothing is evaluated.
"""

from partline.quantities.units.entry import Entered, parse, to_si
from partline.quantities.units.loading import Loading, parse_loading
from partline.quantities.units.show import from_si, show
from partline.quantities.units.table import Kind

__all__ = ["Entered", "Kind", "Loading", "from_si", "parse", "parse_loading", "show", "to_si"]
