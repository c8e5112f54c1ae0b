"""Every end of every cable that is made: where it lands, which pole, and how it is finished."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise

from msgspec import Struct

from planner.engineering.cables import american_size_to_buy
from planner.engineering.guards import not_negative, positive
from planner.errors import OutOfRangeError

#: Above this a stranded end takes a pin or ring lug instead of a ferrule.
THICKEST_FERRULE_MM2 = 16.0
PLUS, MINUS = "+", "−"
STUD_LUG = "crimped ring lug for that stud"
PLUG = "solar plug, crimped with its maker's die"


class Run(Struct, frozen=True):
    """One two-core run as it is chosen.

    Attributes:
        length_m: One way.
        section_mm2: Section of each core.
    """

    length_m: float
    section_mm2: float


class Circuit(Struct, frozen=True):
    """What the ends depend on.

    Attributes:
        strings: Panels of each string, by their place in the list, counted from 1.
        pv: The run from the roof to the controller.
        battery: The run from the controller to the battery.
        fuse_lug: How the cable ends at the fuse holder.
        fuse_on_post: The fuse sits on the battery's own stud: no cable between them.
        fuse_distance_mm: The most cable from the battery's post to the fuse.
        string_fuse_a: Fuse in each string; None where none is needed.
        inlet: The panels plug into an inlet instead of being fixed.
    """

    strings: tuple[tuple[int, ...], ...]
    pv: Run
    battery: Run
    fuse_lug: str
    fuse_on_post: bool
    fuse_distance_mm: float
    string_fuse_a: float | None = None
    inlet: bool = False


class CableEnd(Struct, frozen=True):
    """One end of one core.

    Attributes:
        cable: The core, by the mark on both its ends.
        terminal: Where it lands.
        pole: Plus or minus.
        section_mm2: None for the panel's own leads.
        buy_awg: American size that may be bought instead; empty for the panel's own leads.
        run_m: Length of the whole run, one way; None for the panel's own leads.
        finish: Ferrule, lug or plug.
    """

    cable: str
    terminal: str
    pole: str
    finish: str
    section_mm2: float | None = None
    buy_awg: str = ""
    run_m: float | None = None


def cable_ends(circuit: Circuit) -> tuple[CableEnd, ...]:
    """Return both ends of every core, from the panels to the battery.

    Args:
        circuit: The circuit as it is chosen.

    Returns:
        Ends in the order of the current: links between panels, the run from the roof, the run to
        the battery.

    Raises:
        OutOfRangeError: If there is no panel, or a length or section is out of range.

    References:
        Common practice, no source: terminals and torques are those of the makers.
    """
    if not circuit.strings or not all(circuit.strings):
        raise OutOfRangeError("strings", circuit.strings, "one panel or more in each string")
    for run in (circuit.pv, circuit.battery):
        positive("length_m", run.length_m)
        positive("section_mm2", run.section_mm2)
    not_negative("fuse_distance_mm", circuit.fuse_distance_mm)
    return (
        *_links(circuit.strings),
        *_branches(circuit),
        *_roof_run(circuit),
        *_battery_plus(circuit),
        *_battery_minus(circuit.battery),
    )


def _links(strings: Sequence[tuple[int, ...]]) -> Iterator[CableEnd]:
    plug = "the panel's own plug"
    for string in strings:
        for first, second in pairwise(string):
            cable = f"link {first}–{second}"
            yield CableEnd(cable, f"panel {first}, own lead", MINUS, plug)
            yield CableEnd(cable, f"panel {second}, own lead", PLUS, plug)


def _branches(circuit: Circuit) -> Iterator[CableEnd]:
    """Yield the ends at the branch plugs, where several strings are joined in parallel."""
    if len(circuit.strings) == 1:
        return
    fused = circuit.string_fuse_a
    through = f" through its {fused:g} A string fuse in an in-line holder" if fused else ""
    for string in circuit.strings:
        cable = f"string {words_of(string)}"
        yield CableEnd(cable, f"branch plug +{through}", PLUS, "the panel's own plug")
        yield CableEnd(cable, "branch plug −", MINUS, "the panel's own plug")


def _roof_run(circuit: Circuit) -> Iterator[CableEnd]:
    roof, roof_finish = _roof_end(circuit)
    ferrule = end_finish(circuit.pv.section_mm2)
    for pole in (PLUS, MINUS):
        core = _core(circuit.pv, f"PV{pole}", pole)
        yield core(roof, roof_finish)
        yield core(f"isolator, panel side {pole}", ferrule)
        yield core(f"isolator, controller side {pole}", ferrule)
        yield core(f"controller, panel {pole}", ferrule)


def _roof_end(circuit: Circuit) -> tuple[str, str]:
    if circuit.inlet:
        return "inlet, back", end_finish(circuit.pv.section_mm2)
    return ("branch plug" if len(circuit.strings) > 1 else "panel's lead"), PLUG


def _battery_plus(circuit: Circuit) -> Iterator[CableEnd]:
    core = _core(circuit.battery, "BAT+", PLUS)
    yield core("controller, battery +", end_finish(circuit.battery.section_mm2))
    if circuit.fuse_on_post:
        yield core("fuse on the battery's + post", circuit.fuse_lug)
        return
    yield core("fuse holder, controller side", circuit.fuse_lug)
    short = Run(circuit.fuse_distance_mm / 1000, circuit.battery.section_mm2)
    tail = _core(short, "FUSE+", PLUS)
    yield tail("fuse holder, battery side", circuit.fuse_lug)
    yield tail("battery, + post or fused busbar", STUD_LUG)


def _battery_minus(run: Run) -> Iterator[CableEnd]:
    core = _core(run, "BAT−", MINUS)
    yield core("controller, battery −", end_finish(run.section_mm2))
    yield core("busbar on the system side of the shunt, or battery, − post", STUD_LUG)


def _core(run: Run, cable: str, pole: str) -> Callable[[str, str], CableEnd]:
    """Return the maker of the ends of one core: terminal and finish to end."""
    size = american_size_to_buy(section_mm2=run.section_mm2)

    def end(terminal: str, finish: str) -> CableEnd:
        return CableEnd(cable, terminal, pole, finish, run.section_mm2, size, run.length_m)

    return end


def words_of(string: Sequence[int]) -> str:
    """Return the panels of a string as printed.

    Examples:
        >>> words_of((1, 2))
        '1 + 2'
    """
    return " + ".join(map(str, string))


def end_finish(section_mm2: float) -> str:
    """Return how a stranded end is finished for a screw terminal.

    Examples:
        >>> end_finish(6.0)
        'ferrule 6 mm²'
        >>> end_finish(35.0)
        'pin or fork lug 35 mm², as the terminal takes'
    """
    if section_mm2 <= THICKEST_FERRULE_MM2:
        return f"ferrule {section_mm2:g} mm²"
    return f"pin or fork lug {section_mm2:g} mm², as the terminal takes"
