"""The demo's run of shots, for tests of heats and moulds."""

from functools import cache

from partline.process.shooting import Shooting
from partline.services.plan import PlanAnswer, plan_pour
from partline.services.shots import shooting_of
from tests.process.shed import bench, demo, mould, shelf


@cache
def demo_plan(good: int = 40) -> PlanAnswer:
    """40 good baits of the demo's third run."""
    return plan_pour(demo(3), mould(), bench(), shelf(), good=good)


@cache
def demo_shooting() -> Shooting:
    """What its shots are made with."""
    return shooting_of(demo_plan())
