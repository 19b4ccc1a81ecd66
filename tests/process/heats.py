"""The demo's heats, for tests of bursts."""

from functools import cache

from partline.process.bursts import BurstPlan, Goal, ToHeat
from partline.services.heating import Part, cups_to_heat, goal_of, heat_cups
from tests.process.shooting import demo_plan

FRESH = Part()


@cache
def demo_cups(part: Part = FRESH) -> tuple[ToHeat, ...]:
    """Both cups of the demo's first melt."""
    return cups_to_heat(demo_plan(), part)


@cache
def demo_goal(part: Part = FRESH) -> Goal:
    """Where that heat ends."""
    return goal_of(demo_plan(), part)


@cache
def demo_bursts(part: Part = FRESH) -> BurstPlan:
    """Its bursts."""
    return heat_cups(demo_plan(), part)
