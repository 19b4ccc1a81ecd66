"""The command that holds the tool's forecasts against what came, and against habit."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from partline.interfaces.cli.speak import say, say_json
from partline.services.runs.forecasts import forecast_scores
from partline.services.workshop import open_at


def tell_scores(folder: Path | None, *, as_json: bool) -> None:
    """Say how the forecasts have done."""
    with open_at(folder) as workshop:
        found: Any = forecast_scores(workshop)
    if as_json:
        say_json(found)
        return
    say(found["says"])
    for each in found["forecasters"]:
        better = each["better_than_ours"]
        chance = "" if better is None else f", better than the tool: {better:.0%}"
        say(f"  {each['who']:20} mean score {each['mean_score']:.3f}{chance}")
    for row in found["runs"]:
        say(
            f"  {row['run']}: {row['good_low']} to {row['good_high']} good foretold, "
            f"{row['good']} of {row['moulded']} came ({row['because']})"
        )
    if found["runs"]:
        say(f"{found['inside']} of {len(found['runs'])} inside a range meant for four of five.")
