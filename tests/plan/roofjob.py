"""Whole roof jobs in a scenario of our own, and random jobs, for the tests of the order of work.

Invented: the steps and their times follow common practice, the vans do not exist. One step a
line: id, when it applies (any of the flags), minutes, after, needs, leaves.
Flags: A always, L lifting roof, B bolted through with the roof shut, S studs pushed up from
inside, F feet bedded first, D framed panel on bonded mounts, X flexible panel bonded, R framed
panel, N cored roof, T second retention, O an old array comes off.
"""

from __future__ import annotations

import random
from collections.abc import Mapping

from msgspec import Struct
from msgspec.structs import asdict

from planner.plan.model import Act, Clock, Invariant, Task, Variable

STEPS = """
p0 read-instructions    A    45 -                                   -                                   -
p0 map-hidden           A    45 -                                   -                                   -
p0 check-skin           A    30 -                                   access=platform                     -
p0 weigh-parts          A    15 -                                   -                                   -
p0 payload              A    15 weigh-parts                         -                                   -
p0 height-before        A    10 -                                   parked=level                        -
p0 draw-layout          A    45 check-skin                          -                                   -
p0 lift-baseline        L    45 draw-layout                         roof=shut,zone=closed,panel=bench,parked=level roof=shut
p0 trial-load           L    40 lift-baseline,weigh-parts,read-instructions roof=shut,zone=closed,panel=bench roof=shut
p0 choose-mount         A    20 draw-layout,payload,trial-load      -                                   -
p0 electrical-design    A    40 -                                   -                                   -
p0 choose-sealant       A    20 choose-mount                        -                                   -
p0 check-delivery       A    30 choose-sealant,electrical-design    -                                   -
p0 briefing             A    15 check-delivery                      -                                   -
p1 loads-off            A    10 briefing                            parked=level                        chargers=off
p1 unplug-old           O    15 loads-off                           cover=on,access=platform,isolator=open -
p1 adhesion-trial       DX   30 choose-sealant,briefing             surface=clean,access=platform       -
p2 bench-volts          A    20 electrical-design,briefing          cover=off,panel=bench               -
p2 bench-current        A    10 bench-volts                         panel=bench,isolator=open,cover=off -
p2 cap-leads            A    10 bench-current                       cover=on,panel=bench                leads=capped
p2 brackets-on-frame    R    30 bench-volts,choose-mount            panel=bench,cover=on                -
p2 remove-old           O    90 unplug-old                          roof=shut|fixed,zone=closed,access=platform surface=dirty
p2 mend-old-holes       O    60 remove-old                          access=platform,roof=shut|fixed     -
p3 datum                A    20 draw-layout,map-hidden,mend-old-holes surface=clean,roof=shut|fixed,access=platform -
p3 dry-fit              A    30 datum,brackets-on-frame,trial-load  panel=laid,roof=shut|fixed,cover=on,battery=isolated,zone=closed -
p3 mark-holes           A    20 dry-fit                             panel=laid,access=platform          -
p3 sign-layout          A     5 mark-holes                          -                                   -
p3 space-rails          FD   25 sign-layout                         panel=laid,roof=shut|fixed,cover=on -
p3 leads-on-bench       A    20 sign-layout                         panel=bench,cover=on,leads=capped   leads=ready
p4 props-seen           L     5 sign-layout                         roof=propped                        -
p4 open-lining          A    30 sign-layout                         battery=isolated,roof=propped|fixed,inside=protected,fabric=secured lining=open
p4 look-under           A    20 open-lining,map-hidden              roof=propped|fixed,lining=open      -
p4 fit-shield           A    10 look-under                          battery=isolated,roof=propped|fixed shield=on
p4 pilot-holes          A    20 look-under                          roof=propped|fixed,shield=on,battery=isolated,access=platform,zone=closed,fabric=secured,panel=bench -
p4 pilot-check          A     5 pilot-holes                         roof=propped|fixed                  -
p4 open-holes           A    30 pilot-check                         roof=propped|fixed,battery=isolated,shield=on,fabric=secured,access=platform -
p4 swarf-out            A    15 open-holes                          fabric=secured                      -
p4 seal-edges           A    15 swarf-out                           surface=clean,access=platform       -
p4 fill-core            N    60 swarf-out                           roof=propped|fixed,access=platform  pot=wet
p4 redrill              N    15 fill-core                           pot=cured,roof=propped|fixed,battery=isolated,fabric=secured,shield=on,access=platform -
p4 dry-plates           BSF  20 seal-edges,redrill                  lining=open                         -
p4 prime-inside-spell   A    30 seal-edges,redrill,adhesion-trial   surface=clean,access=platform,panel=bench footprint=primed
p4 bed-feet             F    45 dry-plates,prime-inside-spell,space-rails roof=propped|fixed,footprint=primed,lining=open bed=wet
p4 set-studs            S    30 dry-plates                          roof=propped|fixed,lining=open      -
p4 anchor               T    20 prime-inside-spell                  roof=propped|fixed,footprint=primed,lining=open bed=wet
p4 entry-box            A    45 prime-inside-spell                  roof=propped|fixed,footprint=primed,battery=isolated entry=wet
p4 cable-loop           L    45 entry-box                           roof=propped,battery=isolated,leads=capped|ready -
p5 slow-close           L    20 cable-loop,bed-feet,set-studs,anchor,entry-box,dry-plates,redrill roof=shut,battery=isolated,bed=none|skinned|rim-cured,entry=skinned|rim-cured,panel=bench roof=shut
p5 dry-bolt-up          BS   40 slow-close,open-holes,redrill,set-studs,brackets-on-frame,dry-plates roof=shut|fixed,cover=on,access=platform,boards=out,panel=bench footprint=bare
p5 prime-bond           DX   45 slow-close,space-rails,adhesion-trial,swarf-out roof=shut|fixed,surface=clean,access=platform,panel=bench footprint=primed
p5 spacers              D    10 prime-bond                          footprint=primed                    -
p5 bond-mounts          D    30 spacers                             footprint=primed,roof=shut|fixed,panel=bench bond=wet
p5 bond-sheet           X    60 prime-bond,leads-on-bench           footprint=primed,roof=shut|fixed,panel=bench,cover=on bond=wet,panel=fixed
p5 hand-pull            DX    5 bond-mounts,bond-sheet              bond=handling                       -
p5 hose-entry           A    20 entry-box,slow-close,hand-pull      entry=rim-cured,roof=shut|fixed,isolator=open,lining=open,access=platform surface=clean
p5 dress-roof-cable     A    30 entry-box,leads-on-bench,hand-pull  roof=shut|fixed,cover=on,access=platform -
p6 controller           A    45 electrical-design,map-hidden        battery=isolated,isolator=open,fuse=out,chargers=off -
p6 cable-inside         A    60 controller,cable-loop,entry-box     battery=isolated                    -
p6 battery-cable        A    40 controller                          battery=isolated,fuse=out           -
p6 continuity           A    15 cable-inside,battery-cable,leads-on-bench battery=isolated,cover=on,isolator=open,tails=loose -
p7 prime-feet           BS   30 dry-bolt-up,hose-entry              surface=clean,roof=shut|fixed,access=platform footprint=primed
p7 panel-to-edge        R    15 leads-on-bench,continuity,hose-entry,dress-roof-cable,brackets-on-frame,prime-feet,hand-pull,bed-feet panel=bench,cover=on,roof=shut|fixed,zone=closed,access=platform,bed=none|rim-cured,bond=none|handling|full panel=edge
p7 join-leads           A    10 panel-to-edge,bond-sheet,dress-roof-cable,continuity,leads-on-bench panel=edge|fixed,cover=on,isolator=open,tails=loose leads=joined
p7 bead                 BS   10 join-leads,prime-feet               panel=edge,footprint=primed,roof=shut|fixed,access=platform bed=wet
p7 set-down             R    10 join-leads,bead                     panel=edge,roof=shut|fixed          panel=on
p7 nuts-inside          B    30 set-down                            panel=on,bed=wet,roof=shut|fixed,boards=out,lining=open panel=fixed
p7 fasten-outside       SFD  30 set-down                            panel=on,roof=shut|fixed,cover=on,access=platform panel=fixed
p7 tether               T    15 fasten-outside,nuts-inside,anchor   panel=fixed,access=platform         -
p7 polarity             A    10 join-leads,fasten-outside,nuts-inside,continuity panel=fixed,isolator=open,fuse=out,tails=loose,battery=isolated -
p8 battery-back         A    15 polarity,battery-cable,slow-close   fuse=out,isolator=open,tails=loose  battery=live
p8 fuse-in              A    10 battery-back                        battery=live,isolator=open,tails=loose fuse=in
p8 settings             A    10 fuse-in                             fuse=in,battery=live                -
p8 final-torque         B    20 nuts-inside                         bed=rim-cured,roof=shut|fixed,boards=out -
p8 final-torque-up      F    20 fasten-outside                      bed=rim-cured,roof=propped|fixed,boards=out -
p8 final-torque-out     S    20 fasten-outside                      bed=rim-cured,roof=shut|fixed,access=platform -
p8 cap-ends             BSF  15 final-torque,final-torque-up,final-torque-out boards=out                -
p8 hose-all             A    60 cap-ends,hand-pull,tether,hose-entry,polarity,fasten-outside,nuts-inside roof=shut|fixed,isolator=open,bed=none|rim-cured,bond=none|handling|full,panel=fixed surface=wet,skirt=wet
p8 look-for-leaks       A    20 hose-all                            roof=propped|fixed                  -
p8 refit-lining         A    30 look-for-leaks,cable-inside,continuity roof=propped|fixed,fabric=released lining=shut,shield=off
p8 boards-back          A    10 refit-lining                        roof=propped|fixed                  boards=in,inside=open
p8 ten-cycles           L    40 boards-back                         roof=shut,isolator=open,boards=in,skirt=dry,fabric=released roof=shut
p9 land-tails           A    10 settings,ten-cycles,look-for-leaks  fuse=in,cover=on,isolator=open      tails=landed
p9 first-power          A    40 land-tails                          tails=landed,cover=off,isolator=shut,fuse=in -
p9 loads-on             A    10 first-power                         battery=live                        chargers=on
p9 charger-behaviour    A    20 loads-on                            chargers=on,battery=live            -
p9 height-after         A    10 fasten-outside,nuts-inside,bond-sheet,ten-cycles roof=shut|fixed,parked=level -
p9 pull-test            A    10 hand-pull,cap-ends,fasten-outside   roof=shut|fixed,panel=fixed,access=platform -
p9 road-test            A    60 pull-test,height-after,ten-cycles,boards-back,loads-on,first-power,tether roof=shut|fixed,bed=none|rim-cured,bond=none|full,fabric=released,access=away,zone=open,panel=fixed,isolator=shut parked=moved
p9 handover             A    30 road-test,charger-behaviour         roof=shut|fixed                     -
"""  # noqa: E501 - one step a line reads best

ENABLING = """
p1 level-up             A    10 -   roof=shut|fixed              parked=level
p1 cordon               A    10 -   -                            zone=closed
p9 uncordon             A     5 -   roof=shut|fixed,panel=bench|fixed zone=open
p1 platform-up          A    15 -   parked=level                 access=platform
p9 platform-away        A    10 -   -                            access=away
p1 isolate-battery      A    15 -   chargers=off,fuse=out        battery=isolated
p2 cover-on             A     5 -   -                            cover=on
p2 cover-off            A     5 -   isolator=open|shut           cover=off
p2 panel-up             A    10 -   panel=bench,cover=on,roof=shut|fixed,zone=closed,access=platform panel=laid
p2 panel-down           A    10 -   panel=laid,access=platform   panel=bench
p4 clear-bed            A    30 -   -                            boards=out,inside=protected
p4 raise-roof           L    15 -   roof=shut,zone=closed,access=platform,parked=level,isolator=open,bed=none|rim-cured,bond=none|handling|full,entry=none|rim-cured,panel=bench|fixed,battery=isolated|live roof=propped
p4 lower-roof           L    10 -   roof=propped,fabric=released,bed=none|skinned|rim-cured,entry=none|skinned|rim-cured,panel=bench|fixed roof=shut
p4 secure-fabric        L    10 -   roof=propped                 fabric=secured
p4 release-fabric       L    10 -   roof=propped,skirt=dry       fabric=released
p3 wash-roof            A    30 -   roof=shut|fixed,access=platform surface=clean
p9 isolator-shut        A     2 -   tails=landed,fuse=in         isolator=shut
p9 isolator-open        A     2 -   -                            isolator=open
"""  # noqa: E501 - one task a line reads best

ACTS = {
    "pilot-holes": "drills",
    "open-holes": "drills",
    "redrill": "drills",
    "raise-roof": "moves_roof",
    "lower-roof": "moves_roof",
    "bead": "seals",
    "road-test": "drives",
}

INVARIANTS = {
    "undrilled-when-shut": Invariant(
        "undrilled-when-shut", "drills", "", {"roof": frozenset({"shut"})}
    ),
    "dead-when-drilling": Invariant(
        "dead-when-drilling", "drills", "", {"battery": frozenset({"live"})}
    ),
    "still-while-wet": Invariant("still-while-wet", "moves_roof", "", {"bed": frozenset({"wet"})}),
    "no-loose-panel": Invariant(
        "no-loose-panel", "moves_roof", "", {"panel": frozenset({"edge", "laid", "on"})}
    ),
    "parked-shut": Invariant("parked-shut", "drives", "", {"roof": frozenset({"propped"})}),
}

MOUNTS = ("B", "S", "F", "D", "X")


class Scenario(Struct, frozen=True):
    """One job as the order of work takes it."""

    tasks: Mapping[str, Task]
    variables: Mapping[str, Variable]
    invariants: Mapping[str, Invariant]


def _cures(wet_h: float, cure_h: float) -> tuple[Clock, ...]:
    return (Clock("wet", "skinned", wet_h), Clock("skinned", "rim-cured", cure_h))


def _variables(flags: set[str], factor: float) -> dict[str, Variable]:
    lifting = "L" in flags
    values: list[Variable] = [
        Variable("parked", ("moved", "level"), "moved", 2.0),
        Variable("zone", ("open", "closed"), "open", 1.0),
        Variable("access", ("away", "platform"), "away", 2.0),
        Variable("roof", ("shut", "propped"), "shut", 8.0, nights=frozenset({"shut"}))
        if lifting
        else Variable("roof", ("fixed",), "fixed"),
        Variable("fabric", ("released", "secured"), "released" if lifting else "secured", 2.0),
        Variable("inside", ("open", "protected"), "open", 3.0),
        Variable("lining", ("shut", "open"), "shut"),
        Variable("boards", ("in", "out"), "in", 2.0),
        Variable("shield", ("off", "on"), "off"),
        Variable("surface", ("dirty", "clean", "wet"), "dirty", 3.0),
        Variable("footprint", ("bare", "primed"), "bare", clocks=(_lapse(),)),
        Variable("cover", ("on", "off"), "on", 1.0),
        Variable("leads", ("bare", "capped", "ready", "joined"), "bare"),
        Variable("isolator", ("open", "shut"), "open", 1.0),
        Variable("tails", ("loose", "landed"), "loose"),
        Variable("fuse", ("out", "in"), "out"),
        Variable("battery", ("live", "isolated"), "live", 4.0),
        Variable("chargers", ("on", "off"), "on"),
        _panel(),
        Variable("pot", ("none", "wet", "cured"), "none", clocks=(Clock("wet", "cured", 12),)),
        Variable("bed", ("none", "wet", "skinned", "rim-cured"), "none", clocks=_cures(2, 22)),
        Variable("entry", ("none", "wet", "skinned", "rim-cured"), "none", clocks=_cures(2, 22)),
        Variable(
            "bond",
            ("none", "wet", "handling", "full"),
            "none",
            clocks=(Clock("wet", "handling", 24 * factor), Clock("handling", "full", 48 * factor)),
        ),
        Variable("skirt", ("dry", "wet"), "dry", clocks=(Clock("wet", "dry", 2),)),
    ]
    return {variable.id: variable for variable in values}


def _lapse() -> Clock:
    return Clock("primed", "bare", 4, waits=False)


def _panel() -> Variable:
    values = ("bench", "laid", "edge", "on", "fixed")
    return Variable("panel", values, "bench", 3.0, nights=frozenset({"bench", "fixed"}))


def _states(text: str) -> dict[str, frozenset[str]]:
    pairs = [part.split("=") for part in text.split(",") if part != "-"]
    return {name: frozenset(values.split("|")) for name, values in pairs}


def _rows(table: str, flags: set[str]) -> list[list[str]]:
    rows = [line.split() for line in table.strip().splitlines()]
    return [row for row in rows if flags & set(row[2])]


def _passed_on(flags: set[str]) -> dict[str, frozenset[str]]:
    """Links through steps that this job does not select."""
    every = {row[1]: row for row in _rows(STEPS, set("ALBSFDXRNTO"))}
    chosen = {row[1] for row in _rows(STEPS, flags)}

    def before(name: str) -> frozenset[str]:
        links = [part for part in every[name][4].split(",") if part != "-"]
        parts = [frozenset({link}) if link in chosen else before(link) for link in links]
        return frozenset().union(*parts)

    return {name: before(name) for name in chosen}


def roof_job(flags: str, *, pace: float = 1.0, factor: float = 1.0) -> Scenario:
    """Return the job that the flags select; ``pace`` stretches the work, ``factor`` the cures."""
    chosen = set(flags) | {"A"}
    after = _passed_on(chosen)
    variables = _variables(chosen, factor)
    tasks = {}
    for table, enabling in ((STEPS, False), (ENABLING, True)):
        for rank, row in enumerate(_rows(table, chosen)):
            phase, name, _, minutes, _, needs, leaves = row
            acts = (Act(ACTS[name], "roof"),) if name in ACTS else ()
            tasks[name] = Task(
                id=name,
                phase=int(phase[1:]),
                rank=rank,
                after=after.get(name, frozenset()),
                needs=_states(needs),
                leaves={key: next(iter(value)) for key, value in _states(leaves).items()},
                acts=acts,
                minutes=float(minutes) * pace,
                enabling=enabling,
            )
    for name, task in tasks.items():
        if not (name == "lower-roof" or "L" in chosen):
            tasks[name] = _on_a_fixed_roof(task)
    return Scenario(tasks, variables, INVARIANTS)


def _on_a_fixed_roof(task: Task) -> Task:
    leaves = {name: value for name, value in task.leaves.items() if name not in ("roof", "skirt")}
    needs = {name: values for name, values in task.needs.items() if name != "fabric"}
    return Task(**{**asdict(task), "needs": needs, "leaves": leaves})


def some_flags(rng: random.Random) -> str:
    """Return the flags of a random job: any roof, any mount, with or without the rest."""
    mount = rng.choice(MOUNTS)
    framed = "" if mount == "X" else "R"
    rest = "".join(flag for flag in "LNTO" if rng.random() < (0.8 if flag == "L" else 0.4))
    return mount + framed + rest


def loosened(scenario: Scenario, rng: random.Random, share: float) -> Scenario:
    """Return the job with a share of its ``after`` links left out: needs must carry it."""
    tasks = {
        name: Task(
            **{
                **asdict(task),
                "after": frozenset(x for x in sorted(task.after) if rng.random() > share),
            }
        )
        for name, task in scenario.tasks.items()
    }
    return Scenario(tasks, scenario.variables, scenario.invariants)
