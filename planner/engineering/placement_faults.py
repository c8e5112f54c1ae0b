"""What is wrong with a list of obstacles: off the roof, doubled, or one inside another."""

from __future__ import annotations

from planner.engineering.placement_model import Obstacle, Rect, RoofPlan
from planner.engineering.placement_space import EPS


def obstacle_faults(*, roof: RoofPlan) -> list[str]:
    """Return one message for each obstacle that is off the roof, doubled or inside another.

    Args:
        roof: The roof plan; sizes were checked when its obstacles were made.

    Returns:
        Messages ready to print, in the order of the obstacles; empty when all is well.
    """
    faults = [text for item in roof.obstacles for text in _off_roof(item, roof)]
    for index, first in enumerate(roof.obstacles):
        faults += [_clash(first, other) for other in roof.obstacles[index + 1 :]
                   if _overlap(first.rect, other.rect)]
    names = [item.name for item in roof.obstacles]
    doubled = sorted({name for name in names if names.count(name) > 1})
    faults += [f"{name}: this name is used twice. Give each obstacle its own." for name in doubled]
    return faults


def _off_roof(item: Obstacle, roof: RoofPlan) -> list[str]:
    rect = item.rect
    beyond = {
        "front": -rect.x0, "rear": rect.x1 - roof.length_mm,
        "left": -rect.y0, "right": rect.y1 - roof.width_mm,
    }
    return [
        f"{item.name}: reaches {by:.0f} mm past the {edge} edge of the usable roof. Measure x from "
        "the front edge and y from the left edge again, or enter only the part on the roof."
        for edge, by in beyond.items() if by > EPS
    ]


def _clash(first: Obstacle, other: Obstacle) -> str:
    return (f"{first.name}: overlaps {other.name}. Measure both again, or enter them as one "
            "rectangle around the two.")


def _overlap(a: Rect, b: Rect) -> bool:
    return a.x0 < b.x1 and b.x0 < a.x1 and a.y0 < b.y1 and b.y0 < a.y1
