"""Print how long placing takes on a roof of ordinary size; run by hand, never a test.

Run: python tests/bench/bench_placement.py
"""

from __future__ import annotations

import random
import statistics
import time
from collections.abc import Callable

from planner.engineering.placement import (
    Obstacle,
    PanelOutline,
    RoofPlan,
    Wishes,
    place_panel,
    place_panels,
)

WISHES = Wishes(sun_elevation_deg=15.0, panel_top_mm=60)
ROUNDS = 200


def some_roof(seed: int, obstacles: int) -> RoofPlan:
    """Return an invented roof of 2600 x 1500 mm with obstacles anywhere on it."""
    rng = random.Random(seed)  # noqa: S311
    items = []
    for number in range(obstacles):
        a, b = rng.randint(60, 400), rng.randint(60, 400)
        items.append(Obstacle(
            f"item {number}", rng.choice(["vent", "rooflight", "aerial", "flue"]),
            rng.randint(0, 2600 - a), rng.randint(0, 1500 - b), a, b, rng.randint(0, 150),
        ))
    return RoofPlan(2600, 1500, 30, tuple(items), "front", entry_mm=(1300, 700))


def timed(title: str, obstacles: int, work: Callable[[RoofPlan], bool]) -> None:
    """Print median, 95th percentile and longest time, and how many roofs had room."""
    spent, fitted = [], 0
    for seed in range(ROUNDS):
        roof = some_roof(seed, obstacles)
        start = time.perf_counter()
        fitted += work(roof)
        spent.append(1000 * (time.perf_counter() - start))
    spent.sort()
    print(f"{title:46} median {statistics.median(spent):6.2f} ms   95 % "
          f"{spent[int(0.95 * ROUNDS)]:6.2f} ms   longest {spent[-1]:6.2f} ms   "
          f"room on {fitted} of {ROUNDS}")


def main() -> None:
    """Time one to four panels with three and ten obstacles."""
    for a, b in ((1480, 670), (1000, 500), (600, 400)):
        for obstacles in (3, 10):
            panel = PanelOutline("panel", a, b)
            for count in (1, 2, 4):
                panels = [panel] * count
                title = f"{count} of {a} x {b} mm, {obstacles} obstacles"
                timed(title, obstacles, lambda roof, panels=panels: (  # type: ignore[misc]
                    place_panel(roof=roof, panel=panels[0], wishes=WISHES).fits
                    if len(panels) == 1
                    else place_panels(roof=roof, panels=panels, wishes=WISHES).fits
                ))


if __name__ == "__main__":
    main()
