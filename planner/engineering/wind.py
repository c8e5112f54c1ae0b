"""Air load on a panel at road speed, and the pull of braking, cornering and pulling away."""

from __future__ import annotations

import math

from msgspec import Struct

from planner.engineering.air import STANDARD_DENSITY_KG_M3
from planner.engineering.guards import above_to, not_negative, positive, within

GRAVITY_M_S2 = 9.80665
"""Standard acceleration of free fall, ISO 80000-3 (from memory)."""


def planning_speed_kmh(
    *, top_speed_kmh: float, least_kmh: float = 130.0, headwind_kmh: float = 50.0
) -> float:
    """Return the speed of the air over the roof that the fixing is planned for.

    Args:
        top_speed_kmh: Highest speed that the owner states [km/h], above 0 to 250.
        least_kmh: Speed counted even if the owner drives slower [km/h].
        headwind_kmh: Wind met head on [km/h].

    Returns:
        Air speed [km/h].

    Raises:
        OutOfRangeError: If a speed is out of range.

    Notes:
        v = max(stated, least) + headwind. Another driver, another country or a downhill run are
        why the owner's own figure never lowers it below the least.

    References:
        .. [1] Planning assumption; no published value was found.
    """
    above_to("top_speed_kmh", top_speed_kmh, 0, 250)
    within("least_kmh", least_kmh, 0, 250)
    within("headwind_kmh", headwind_kmh, 0, 150)
    return max(top_speed_kmh, least_kmh) + headwind_kmh


def dynamic_pressure_pa(
    *, speed_kmh: float, density_kg_m3: float = STANDARD_DENSITY_KG_M3
) -> float:
    """Return the pressure of air brought to rest from a speed.

    Args:
        speed_kmh: Speed of the air past the van [km/h], 0 to 400.
        density_kg_m3: Air density [kg/m³], 0.7 to 1.6.

    Returns:
        Dynamic pressure [Pa].

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        q = ρ v² / 2.

    References:
        .. [1] EN 1991-1-4:2005, eq. 4.10, with the density of ISO 2533.
    """
    within("speed_kmh", speed_kmh, 0, 400)
    within("density_kg_m3", density_kg_m3, 0.7, 1.6)
    return 0.5 * density_kg_m3 * (speed_kmh / 3.6) ** 2


def uplift_n(*, pressure_pa: float, area_m2: float, coefficient: float = 1.5) -> float:
    """Return the lift on a panel; its weight is not subtracted.

    Args:
        pressure_pa: Dynamic pressure [Pa], 0 or more.
        area_m2: Area of the panel [m²], above 0 to 10.
        coefficient: Net uplift coefficient [1], above 0 to 3. 1.5 unless the gap at the front is
            faired and the leading edge set back, then 1.0.

    Returns:
        Uplift [N].

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        F = q A C. A panel that stays on only because it is heavy leaves when a gust unloads it,
        so weight is left out.

    References:
        .. [1] Planning assumption for C: no published coefficient for a panel on a vehicle roof
           was found. Free canopies give -0.5 to -1.5 over the whole area, EN 1991-1-4:2005,
           Table 7.6 (from memory).
    """
    not_negative("pressure_pa", pressure_pa)
    above_to("area_m2", area_m2, 0, 10)
    above_to("coefficient", coefficient, 0, 3)
    return pressure_pa * area_m2 * coefficient


class Inertia(Struct, frozen=True):
    """Pull on the fixings from the mass they hold, one case at a time [N]."""

    forward_n: float
    sideways_n: float
    rearward_n: float

    @property
    def greatest_n(self) -> float:
        """The largest of the three."""
        return max(self.forward_n, self.sideways_n, self.rearward_n)

    def with_uplift_n(self, uplift_n: float) -> float:
        """Return the largest of the three and an uplift at once [N].

        √(F² + H²): one acts upwards, the other along the roof, on the same mount (statics).
        """
        return math.hypot(uplift_n, self.greatest_n)


def inertia(
    *,
    mass_kg: float,
    forward_g: float = 1.0,
    sideways_g: float = 0.7,
    rearward_g: float = 0.5,
) -> Inertia:
    """Return the pull of emergency braking, cornering and pulling away. Not a crash load.

    Args:
        mass_kg: Mass held, panel and mount together [kg], more than 0.
        forward_g: Share of gravity under braking [g], 0 to 5.
        sideways_g: Share of gravity in a corner [g], 0 to 5.
        rearward_g: Share of gravity pulling away or braking in reverse [g], 0 to 5.

    Returns:
        The three forces [N].

    Raises:
        OutOfRangeError: If an argument is out of range.

    Notes:
        F = m g k. The factors are set a little above those of EN 12195-1 (0.8, 0.5, 0.5), which
        excludes vehicles up to 3.5 t because lighter vehicles can see more.

    References:
        .. [1] Planning assumption. EN 12195-1:2010, scope, and the German insurers' cargo
           handbook, chapter 5.1 (1.0 g forward because of pitching).
    """
    positive("mass_kg", mass_kg)
    factors = {"forward_g": forward_g, "sideways_g": sideways_g, "rearward_g": rearward_g}
    for name, factor in factors.items():
        within(name, factor, 0, 5)
    weight_n = mass_kg * GRAVITY_M_S2
    return Inertia(weight_n * forward_g, weight_n * sideways_g, weight_n * rearward_g)
