"""Bind wind, air and cure to their facts."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from planner.engineering import bonding, cure
from planner.engineering.laying import laying_gate
from planner.engineering.wind import dynamic_pressure_pa, inertia, planning_speed_kmh, uplift_n
from planner.ledger import Binding, bind

Rows = Sequence[Mapping[str, Any]]


def row_of(rows: Rows, key: str, value: object) -> Mapping[str, Any] | None:
    """Return the row whose column holds a value, or None."""
    return next((row for row in rows if row[key] == value), None)


def wind(
    *,
    top_speed_kmh: float,
    least_kmh: float,
    headwind_kmh: float,
    length_mm: float,
    width_mm: float,
    faired: bool,
    open_coefficient: float,
    faired_coefficient: float,
) -> dict[str, float]:
    """Return air speed, pressure, coefficient, and uplift on one panel and its area."""
    speed = planning_speed_kmh(
        top_speed_kmh=top_speed_kmh, least_kmh=least_kmh, headwind_kmh=headwind_kmh
    )
    pressure = dynamic_pressure_pa(speed_kmh=speed)
    coefficient = faired_coefficient if faired else open_coefficient
    area = length_mm * width_mm / 1e6
    uplift = uplift_n(pressure_pa=pressure, area_m2=area, coefficient=coefficient)
    return {
        "speed": speed,
        "pressure": pressure,
        "coefficient": coefficient,
        "uplift": uplift,
        "area": area,
    }


def pull(
    *, mass_kg: float, forward_g: float, sideways_g: float, rearward_g: float
) -> dict[str, float]:
    """Return the pull of one panel on its mount in three directions."""
    found = inertia(
        mass_kg=mass_kg, forward_g=forward_g, sideways_g=sideways_g, rearward_g=rearward_g
    )
    return {
        "forward": found.forward_n,
        "sideways": found.sideways_n,
        "rearward": found.rearward_n,
    }


def cure_basis(
    *, coldest_c: float, humidity_pct: float, counted_h: float, temperatures: Rows
) -> dict[str, float]:
    """Return the factor on cure times and how much longer they take by the clock.

    Where nights are colder than 5 °C their hours do not count, so the factor is that of the
    hours that do, 5 °C and warmer, and the clock runs longer.
    """
    steps = [(row["at_least_c"], row["factor"]) for row in temperatures]
    counts = coldest_c >= cure.LEAST_CREDIT_C
    factor = cure.cure_factor(
        coldest_c=coldest_c if counts else cure.LEAST_CREDIT_C,
        humidity_pct=humidity_pct,
        steps=steps,
    )
    day = 24.0 if counts else counted_h
    return {"factor": factor, "clock": cure.clock_hours(cure_h=1, counted_h_per_day=day)}


def ribbon(*, bead_width_mm: float, bead_height_mm: float, thickness_mm: float) -> float:
    """Return the width of a bead pressed down to its spacers."""
    return bonding.squeezed_width_mm(
        bead_width_mm=bead_width_mm, bead_height_mm=bead_height_mm, thickness_mm=thickness_mm
    )


def through(*, width_mm: float, depth_24h_mm: float, factor: float, clock: float) -> float:
    """Return the hours by the clock until a ribbon that carries load has cured through."""
    hours = cure.through_cure_h(
        depth_mm=width_mm / 2, depth_24h_mm=depth_24h_mm, factor=factor
    )
    return hours * clock


def times(
    *, joint: str, factor: float, clock: float, through_h: float, table: Rows
) -> cure.CureTimes:
    """Return the cure times of a ``bedded`` or ``bonded`` joint by the clock."""
    row = {key: value for key, value in _cure_row(joint, table).items() if key != "joint"}
    return cure.cure_times(
        table=cure.CureTable(**row),
        factor=factor * clock,
        through_h=through_h if joint == "bonded" else 0.0,
    )


def _cure_row(joint: str, table: Rows) -> Mapping[str, Any]:
    return next(row for row in table if row["joint"] == joint)


def is_bonded(method: str) -> bool:
    """Return whether adhesive carries the panel."""
    return method in ("bonded_corners", "bonded_rails", "full_bond")


def chosen_cure(
    *,
    method: str,
    factor: float,
    clock: float,
    through_h: float,
    skin_h: float,
    rim_h: float,
    air_c: float,
    humidity_pct: float,
    temperatures: Rows,
    table: Rows,
) -> dict[str, float]:
    """Return the clocks of the chosen mount, and those of every bead, by the clock.

    A bead skins in the hours after it is laid, in the air of the working day; all else lasts over
    a night and goes by its coldest hour.
    """
    joint = "bonded" if is_bonded(method) else "bedded"
    found = times(joint=joint, factor=factor, clock=clock, through_h=through_h, table=table)
    by_day = cure_basis(
        coldest_c=air_c, humidity_pct=humidity_pct, counted_h=24, temperatures=temperatures
    )
    return {
        "skin": skin_h * by_day["factor"],
        "handle": found.handle_h,
        "rim": rim_h * factor * clock,
        "hose": found.hose_h,
        "move_roof": found.move_roof_h,
        "drive": found.drive_h,
        "full": found.full_speed_h,
        "after": found.full_speed_h - found.drive_h,
    }


def resin(*, at_20c_h: float, least_c: float, **cold_c: float) -> float:
    """Return the hardening time of a resin or coat; colder than its limit it is kept warm."""
    return cure.resin_h(at_20c_h=at_20c_h, coldest_c=max(min(cold_c.values()), least_c))


def laying(
    *,
    air_c: float,
    surface_c: float,
    humidity_pct: float,
    low_c: float,
    high_c: float,
) -> dict[str, Any]:
    """Return dew point, margin, and whether a bead may be laid in the air that is expected."""
    gate = laying_gate(
        air_c=air_c, surface_c=surface_c, humidity_pct=humidity_pct, product_c=(low_c, high_c)
    )
    return {
        "dew": gate.dew_c,
        "margin": gate.margin_k,
        "ok": gate.verdict != "stop",
        "why": " ".join(gate.reasons) or "Nothing speaks against laying a bead.",
    }


def wide_joint(
    *, length_mm: float, width_mm: float, depth_24h_mm: float, factor: float, to_air_mm: float
) -> dict[str, Any]:
    """Return how long a foot bedded over its whole face stays wet in the middle."""
    found = cure.closed_joint(
        width_mm=min(length_mm, width_mm),
        depth_24h_mm=depth_24h_mm,
        factor=factor,
        most_to_air_mm=to_air_mm,
    )
    return {"days": found.days, "warning": found.warning or None}


BINDINGS: tuple[Binding, ...] = (
    bind(
        wind,
        {
            "wind.speed_kmh": "speed",
            "wind.pressure_pa": "pressure",
            "wind.coefficient": "coefficient",
            "wind.uplift_n": "uplift",
            "panel.area_m2": "area",
        },
        top_speed_kmh="vehicle.top_speed_kmh",
        least_kmh="limit.wind_least_kmh",
        headwind_kmh="limit.headwind_kmh",
        length_mm="panel.length_mm",
        width_mm="panel.width_mm",
        faired="mount.front_faired",
        open_coefficient="limit.uplift_open",
        faired_coefficient="limit.uplift_faired",
    ),
    bind(
        pull,
        {
            "wind.braking_n": "forward",
            "wind.cornering_n": "sideways",
            "wind.rearward_n": "rearward",
        },
        mass_kg="panel.mass_kg",
        forward_g="limit.inertia_forward_g",
        sideways_g="limit.inertia_sideways_g",
        rearward_g="limit.inertia_rearward_g",
    ),
    bind(
        cure_basis,
        {"cure.factor": "factor", "cure.clock": "clock"},
        coldest_c="site.coldest_night_c",
        humidity_pct="site.humidity_pct",
        counted_h="limit.cold_counted_h",
        temperatures="table.cure_temperatures",
    ),
    bind(
        ribbon,
        "bond.width_mm",
        bead_width_mm="limit.bead_width_mm",
        bead_height_mm="limit.bead_height_mm",
        thickness_mm="limit.bond_mm",
    ),
    bind(
        through,
        "cure.through_h",
        width_mm="bond.width_mm",
        depth_24h_mm="sealant.depth_mm_24h",
        factor="cure.factor",
        clock="cure.clock",
    ),
    bind(
        chosen_cure,
        {
            "cure.skin_h": "skin",
            "cure.handle_h": "handle",
            "cure.rim_h": "rim",
            "cure.hose_h": "hose",
            "cure.move_roof_h": "move_roof",
            "cure.drive_h": "drive",
            "cure.full_speed_h": "full",
            "cure.full_after_drive_h": "after",
        },
        method="mount.method",
        factor="cure.factor",
        clock="cure.clock",
        through_h="cure.through_h",
        skin_h="limit.skin_h",
        rim_h="limit.rim_h",
        air_c="site.air_c",
        humidity_pct="site.humidity_pct",
        temperatures="table.cure_temperatures",
        table="table.cure_times",
    ),
    *(
        bind(
            resin,
            gives,
            at_20c_h=at_20c_h,
            night_c="site.coldest_night_c",
            least_c="limit.pot_least_c",
        )
        for gives, at_20c_h in (("cure.pot_h", "limit.pot_h"), ("cure.repair_h", "gate.repair_h"))
    ),
    # The coat on an edge is sealed over on the same day; a roof may be colder than the air.
    bind(
        resin,
        "cure.edge_h",
        at_20c_h="gate.edge_dry_h",
        air_c="site.air_c",
        roof_c="site.surface_c",
        least_c="limit.pot_least_c",
    ),
    bind(
        laying,
        {
            "air.dew_point_c": "dew",
            "air.dew_margin_k": "margin",
            "air.lay_ok": "ok",
            "air.lay_why": "why",
        },
        air_c="site.air_c",
        surface_c="site.surface_c",
        humidity_pct="site.humidity_pct",
        low_c="gate.surface_low_c",
        high_c="gate.surface_high_c",
    ),
    bind(
        wide_joint,
        {"cure.wide_days": "days", "cure.wide_warning": "warning"},
        length_mm="mount.foot_length_mm",
        width_mm="mount.foot_width_mm",
        depth_24h_mm="sealant.depth_mm_24h",
        factor="cure.factor",
        to_air_mm="limit.to_air_mm",
    ),
)
