"""What placing a panel needs to know: roof plan, obstacles, ribs, panel outlines and wishes.

Coordinates: x from the front edge of the usable roof rearwards, y from its left edge, seen from
above, in millimetres.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from msgspec import Struct, field
from msgspec.structs import asdict

from planner.engineering.guards import not_negative, positive
from planner.errors import OutOfRangeError

KINDS = ("vent", "fixed_vent", "rooflight", "flue", "aerial", "rail", "other")
LIFTS = ("front", "rear", "left", "right", "parallel", "fixed")
RIB_RUNS = ("lengthwise", "crosswise")
ROW_SHARE = 2 / 3
"""What of the points for an aligned block a line with wider gaps earns: our own judgement."""
CLEARANCES_MM: Mapping[str, float] = {kind: 300.0 if kind == "flue" else 50.0 for kind in KINDS}
"""Least distance from a panel to each kind of obstacle; common practice, no source."""


class Rect(Struct, frozen=True):
    """An upright rectangle on the roof plan [mm]: ``x0`` < ``x1`` rearwards, ``y0`` < ``y1``."""

    x0: float
    x1: float
    y0: float
    y1: float

    @property
    def area(self) -> float:
        """Return the area [mm²]."""
        return (self.x1 - self.x0) * (self.y1 - self.y0)

    def grown(self, by: float) -> Rect:
        """Return the rectangle with every side moved out by the same distance."""
        return Rect(self.x0 - by, self.x1 + by, self.y0 - by, self.y1 + by)


class Obstacle(Struct, frozen=True):
    """Something on the roof that a panel keeps away from.

    Attributes:
        name: What the fitter calls it; used in messages.
        kind: One of ``KINDS``.
        x_mm: Its front edge, from the front edge of the usable roof.
        y_mm: Its left edge, from the left edge of the usable roof.
        length_mm: Size along x, more than 0.
        width_mm: Size along y, more than 0.
        height_mm: Height above the roof skin, 0 or more.
        clearance_mm: Least distance to a panel, 0 or more; ``None`` takes the kind's default.
    """

    name: str
    kind: str
    x_mm: float
    y_mm: float
    length_mm: float
    width_mm: float
    height_mm: float = 0.0
    clearance_mm: float | None = None

    def __post_init__(self) -> None:
        """Refuse sizes that no measured thing can have."""
        if self.kind not in KINDS:
            raise OutOfRangeError(f"{self.name}: kind", self.kind, "one of " + ", ".join(KINDS))
        _finite(f"{self.name}: x_mm", self.x_mm)
        _finite(f"{self.name}: y_mm", self.y_mm)
        positive(f"{self.name}: length_mm", self.length_mm)
        positive(f"{self.name}: width_mm", self.width_mm)
        not_negative(f"{self.name}: height_mm", self.height_mm)
        not_negative(f"{self.name}: clearance_mm", self.clearance)

    @property
    def clearance(self) -> float:
        """Return the clearance that applies [mm]."""
        return CLEARANCES_MM[self.kind] if self.clearance_mm is None else self.clearance_mm

    @property
    def rect(self) -> Rect:
        """Return the ground that it covers."""
        return Rect(
            self.x_mm, self.x_mm + self.length_mm, self.y_mm, self.y_mm + self.width_mm
        )


class Ribs(Struct, frozen=True):
    """Evenly spaced ribs with flats between them.

    Attributes:
        run: ``lengthwise`` (spaced along y) or ``crosswise`` (spaced along x).
        pitch_mm: From one rib to the next, more than 0.
        flat_mm: Width of the flat between two ribs, more than 0 and at most the pitch.
        first_flat_mm: Where some flat begins, from the left (or front) edge of the usable roof.
        height_mm: How far ribs stand above flats, 0 or more.
    """

    run: str
    pitch_mm: float
    flat_mm: float
    first_flat_mm: float = 0.0
    height_mm: float = 0.0

    def __post_init__(self) -> None:
        """Refuse ribs that cannot exist."""
        if self.run not in RIB_RUNS:
            raise OutOfRangeError("ribs: run", self.run, "one of " + ", ".join(RIB_RUNS))
        positive("ribs: pitch_mm", self.pitch_mm)
        if not 0 < self.flat_mm <= self.pitch_mm:
            raise OutOfRangeError(
                "ribs: flat_mm", self.flat_mm, f"more than 0 and at most the pitch {self.pitch_mm}"
            )
        _finite("ribs: first_flat_mm", self.first_flat_mm)
        not_negative("ribs: height_mm", self.height_mm)


class Foot(Struct, frozen=True):
    """One bracket foot: its centre from the panel's corner, and its size [mm].

    ``along`` is measured along the panel's length, ``across`` along its width; a foot outside the
    frame has a negative centre or one beyond the panel. A size of 0 stands for a foot that can
    still be moved that way to reach a flat, so that ribs do not bind the panel through it.
    """

    along_mm: float
    across_mm: float
    size_along_mm: float
    size_across_mm: float

    def __post_init__(self) -> None:
        """Refuse a foot without a place or with a size below nothing."""
        _finite("foot: along_mm", self.along_mm)
        _finite("foot: across_mm", self.across_mm)
        not_negative("foot: size_along_mm", self.size_along_mm)
        not_negative("foot: size_across_mm", self.size_across_mm)

    def turned(self) -> Foot:
        """Return the foot as it lies when length and width change places."""
        return Foot(self.across_mm, self.along_mm, self.size_across_mm, self.size_along_mm)


class PanelOutline(Struct, frozen=True):
    """A panel seen from above: length and width [mm, more than 0] and the feet that carry it."""

    name: str
    length_mm: float
    width_mm: float
    feet: tuple[Foot, ...] = ()

    def __post_init__(self) -> None:
        """Refuse a panel without a size."""
        positive(f"{self.name}: length_mm", self.length_mm)
        positive(f"{self.name}: width_mm", self.width_mm)

    def turned(self) -> PanelOutline:
        """Return the panel a quarter turn round, so that its length lies along y."""
        feet = tuple(foot.turned() for foot in self.feet)
        return PanelOutline(self.name, self.width_mm, self.length_mm, feet)


class RoofPlan(Struct, frozen=True):
    """The usable roof, seen from above.

    Attributes:
        length_mm: Along x, more than 0.
        width_mm: Along y, more than 0.
        edge_margin_mm: Kept free along every edge, 0 or more.
        obstacles: What stands on it.
        lift: Where the hinge is (``front``, ``rear``, ``left``, ``right``), ``parallel``, or
            ``fixed``.
        ribs: The ribs, or ``None`` for a smooth roof.
        entry_mm: Where the cable goes in, (x, y), or ``None`` while that is open.
    """

    length_mm: float
    width_mm: float
    edge_margin_mm: float = 0.0
    obstacles: tuple[Obstacle, ...] = ()
    lift: str = "fixed"
    ribs: Ribs | None = None
    entry_mm: tuple[float, float] | None = None

    def __post_init__(self) -> None:
        """Refuse a roof that cannot exist."""
        positive("roof: length_mm", self.length_mm)
        positive("roof: width_mm", self.width_mm)
        not_negative("roof: edge_margin_mm", self.edge_margin_mm)
        if self.lift not in LIFTS:
            raise OutOfRangeError("roof: lift", self.lift, "one of " + ", ".join(LIFTS))
        for value in self.entry_mm or ():
            _finite("roof: entry_mm", value)


class Weights(Struct, frozen=True):
    """Points for each wish; 100 together by default. Our own judgement, for a shop to change.

    A lifting roof comes first because the place decides whether it still lifts; then shade,
    because it costs harvest every winter day; then one tidy block, which is easier to mark out,
    wire and clean (a line with wider gaps earns two thirds of it); the rest are manners.
    ``total`` is what a perfect place would win.
    """

    lift: float = 40.0
    shade: float = 20.0
    set_back: float = 10.0
    centreline: float = 10.0
    cable: float = 5.0
    in_line: float = 15.0

    def __post_init__(self) -> None:
        """Refuse points that would turn a wish into its opposite."""
        for name, value in asdict(self).items():
            not_negative(f"weights: {name}", value)

    @property
    def total(self) -> float:
        """Return the points on offer."""
        return math.fsum(asdict(self).values())


class Wishes(Struct, frozen=True):
    """What makes one place better than another, and how panels stand.

    Attributes:
        sun_elevation_deg: Height of the winter noon sun, more than 0 to 90; ``None`` leaves
            shade out.
        panel_top_mm: Glass above the roof skin (mount and frame), 0 or more.
        set_back_mm: Wanted distance of the front edge behind the leading edge of the roof, 0 or
            more; 150 mm is common practice, no source.
        panel_gap_mm: Least gap between two panels, 0 or more; 20 mm is common practice.
        weights: Points for each wish.
    """

    sun_elevation_deg: float | None = None
    panel_top_mm: float = 0.0
    set_back_mm: float = 150.0
    panel_gap_mm: float = 20.0
    weights: Weights = field(default_factory=Weights)

    def __post_init__(self) -> None:
        """Refuse wishes without meaning."""
        sun = self.sun_elevation_deg
        if sun is not None and not 0 < sun <= 90:
            raise OutOfRangeError("sun_elevation_deg", sun, "more than 0 to 90")
        not_negative("panel_top_mm", self.panel_top_mm)
        not_negative("set_back_mm", self.set_back_mm)
        not_negative("panel_gap_mm", self.panel_gap_mm)


def check_panels(panels: Sequence[PanelOutline], most: int = 4) -> None:
    """Raise unless there are 1 to ``most`` panels."""
    if not 1 <= len(panels) <= most:
        raise OutOfRangeError("panels", len(panels), f"1 to {most} panels on one roof")


def _finite(name: str, value: float) -> None:
    if not math.isfinite(value):
        raise OutOfRangeError(name, value, "a number of millimetres")
