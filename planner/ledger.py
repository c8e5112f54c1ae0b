"""Facts with their origin, worked out on demand; reads are recorded, so ``why`` can walk back."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from enum import StrEnum
from types import MappingProxyType
from typing import Any, Final, NamedTuple

from msgspec import Struct

from planner.errors import CycleError, InputError, LidworkError, nearest
from planner.recall import Found, Recall, Token


class Origin(StrEnum):
    """Where a fact's value came from."""

    ANSWERED = "answered"
    ASSUMED = "assumed"
    SUPPOSED = "supposed"
    LOOKED_UP = "looked_up"
    CALCULATED = "calculated"
    DECIDED = "decided"
    INAPPLICABLE = "inapplicable"


class Inapplicable:
    """The value of a fact that has no meaning in this job; every test of it fails."""

    def __repr__(self) -> str:
        """Return the name used in messages."""
        return "NA"

    def __bool__(self) -> bool:
        """Return False, so that ``if value`` never passes by accident."""
        return False


NA: Final = Inapplicable()


class Fact(NamedTuple):
    """One value in the ledger.

    Attributes:
        name: ``section.name``.
        value: A plain value, or ``NA``.
        origin: Where it came from.
        reads: Names of the facts and tables read to get it, in order of first read.
    """

    name: str
    value: Any
    origin: Origin
    reads: tuple[str, ...] = ()


class Provider(NamedTuple):
    """Work that gives one or more facts when one of them is first read.

    Attributes:
        gives: Names of all facts that the work gives.
        origin: Their origin. The work may return ``Fact`` values to say otherwise.
        work: Takes the ledger, returns a value for each name; a missing name or ``None`` is ``NA``.
        about: The rule or function behind work that depends on what it reads alone, and on the
            answer that it asks for, so that its result may be recalled; None where it depends on
            more.
        asks: The question whose answer the work looks up in the ledger's ``answers``.
    """

    gives: tuple[str, ...]
    origin: Origin
    work: Callable[[Ledger], Mapping[str, Any]]
    about: object = None
    asks: str = ""


class Binding(Struct, frozen=True):
    """A pure function bound to the facts that it gives and the facts that it takes.

    Attributes:
        gives: Fact name to the field of the result (a mapping or an object with attributes);
            an empty field name means the result itself.
        call: The function; it takes keyword arguments only.
        takes: Argument name to fact name. ``table.NAME`` passes a table's rows, a trailing ``?``
            passes ``None`` where the fact does not apply; without it the whole binding does not
            apply when the fact does not.
    """

    gives: Mapping[str, str]
    call: Callable[..., Any]
    takes: Mapping[str, str]


#: Facts by name, and the tokens of those that have been asked for.
_Given = tuple[Mapping[str, Fact], Mapping[str, Token]]


def bind(call: Callable[..., Any], gives: str | Mapping[str, str], **takes: str) -> Binding:
    """Return a binding; a single fact name in ``gives`` stands for the whole result."""
    return Binding({gives: ""} if isinstance(gives, str) else gives, call, takes)


def by_name(providers: Iterable[Provider]) -> dict[str, Provider]:
    """Return each provider under every name that it gives."""
    return {name: provider for provider in providers for name in provider.gives}


class Ledger:
    """All facts of one job, worked out when first read and remembered.

    Args:
        providers: What gives the facts, or a mapping of it by name.
        tables: Rows by the name of the table.
        answers: The answers given, by question.
        recall: What was worked out for other jobs; saves time, changes nothing.
    """

    def __init__(
        self,
        providers: Iterable[Provider] | Mapping[str, Provider],
        tables: Mapping[str, Any],
        answers: Mapping[str, Any] = MappingProxyType({}),
        recall: Recall | None = None,
    ) -> None:
        self.answers = answers
        self._recall = recall
        self._tokens: dict[str, Token] = {}
        self._providers = providers if isinstance(providers, Mapping) else by_name(providers)
        self._tables = tables
        self._facts: dict[str, Fact] = {}
        self._frames: list[dict[str, None]] = []
        self._working: list[str] = []

    @property
    def names(self) -> list[str]:
        """All names that can be read, sorted."""
        return sorted(self._providers)

    def is_known(self, name: str) -> bool:
        """Return whether a fact has been worked out already."""
        return name in self._facts

    def get(self, name: str) -> Any:
        """Return the value of a fact and record the read; ``NA`` where it does not apply."""
        return self.fact(name).value

    def fact(self, name: str) -> Fact:
        """Return a fact with its origin and record the read.

        Raises:
            InputError: If no rule declares the name.
            CycleError: If the fact needs itself.
        """
        if self._frames:
            self._frames[-1][name] = None
        return self._facts.get(name) or self._work_out(name)

    def table(self, name: str) -> Any:
        """Return the rows of a table and record the read as ``table.NAME``."""
        if self._frames:
            self._frames[-1][f"table.{name}"] = None
        if name not in self._tables:
            raise InputError.of("", f"no table '{name}'", nearest(name, self._tables))
        return self._tables[name]

    def reading(self, work: Callable[[], Any]) -> tuple[Any, tuple[str, ...]]:
        """Run ``work`` and return its result with the names that it read."""
        self._frames.append({})
        try:
            result = work()
        finally:
            reads = tuple(self._frames.pop())
        return result, reads

    def give(self, origin: Origin, values: Mapping[str, Any], reads: tuple[str, ...] = ()) -> None:
        """Set facts known only late, such as the figures of the finished timetable."""
        for name, value in values.items():
            self._facts[name] = Fact(name, value, origin, reads)

    def _work_out(self, name: str) -> Fact:
        provider = self._providers.get(name)
        if provider is None:
            raise InputError.of("", f"unknown fact '{name}'", nearest(name, self._providers))
        if name in self._working:
            raise CycleError([*self._working[self._working.index(name) :], name])
        self._working.append(name)
        try:
            facts, tokens = self._given(provider)
        finally:
            self._working.pop()
        self._facts.update(facts)
        self._tokens.update(tokens)
        return self._facts[name]

    def _given(self, provider: Provider) -> _Given:
        """Return the facts that a provider gives and their tokens, recalled or worked out."""
        recall = self._recall if provider.about is not None else None
        if recall is None:
            return self._worked_out(provider)[0], {}
        what: Any = "fact"
        if provider.asks:
            what = recall.token(self.answers.get(provider.asks), "given")
        found = recall.find(what, provider.about, self._tokens, self._token)
        if found is None:
            facts, reads = self._worked_out(provider)
            tokens = {name: recall.token(fact.value, fact.origin) for name, fact in facts.items()}
            found = self._keep(recall, what, provider.about, (facts, tokens), reads)
        given: _Given = found[0]
        return given

    def _worked_out(self, provider: Provider) -> tuple[Mapping[str, Fact], tuple[str, ...]]:
        values, reads = self.reading(lambda: provider.work(self))
        return _as_facts(provider, values, reads), reads

    def once(self, what: Any, about: object, work: Callable[[], Any]) -> Any:
        """Return what work gives that depends on ``what``, ``about`` and what it reads here alone.

        Args:
            what: Which work, as a key.
            about: The rule that it is about, or all of them.
            work: Reads this ledger, changes nothing, and gives what nobody changes.
        """
        if self._recall is None:
            return work()  # its reads go straight to whoever asked
        found = self._recall.find(what, about, self._tokens, self._token)
        if found is None:
            found = self._keep(self._recall, what, about, *self.reading(work))
        result, reads = found
        if self._frames:
            self._frames[-1].update(dict.fromkeys(reads))
        return result

    def _keep(
        self, recall: Recall, what: Any, about: object, result: Any, reads: tuple[str, ...]
    ) -> Found:
        facts = [name for name in reads if not name.startswith("table.")]
        found = result, reads
        recall.keep(what, about, [(name, self._token(name)) for name in facts], found)
        return found

    def _token(self, name: str) -> Token:
        """Return the token of a fact without recording a read."""
        token = self._tokens.get(name)
        if token is None:
            assert self._recall is not None  # noqa: S101  - only a recall asks for tokens
            fact = self._facts.get(name) or self._work_out(name)
            token = self._tokens[name] = self._recall.token(fact.value, fact.origin)
        return token


def _as_facts(
    provider: Provider, values: Mapping[str, Any], reads: tuple[str, ...]
) -> Mapping[str, Fact]:
    return {
        name: _as_fact(name, values.get(name), provider.origin, reads) for name in provider.gives
    }


def _as_fact(name: str, value: Any, origin: Origin, reads: tuple[str, ...]) -> Fact:
    if isinstance(value, Fact):
        return value if value.reads else Fact(name, value.value, value.origin, reads)
    if value is None or value is NA:
        return Fact(name, NA, Origin.INAPPLICABLE, reads)
    return Fact(name, value, origin, reads)


def calculation(binding: Binding) -> Provider:
    """Return the provider that reads a binding's arguments, calls it and hands out its results."""
    return Provider(
        tuple(binding.gives), Origin.CALCULATED, lambda ledger: _calculate(binding, ledger), binding
    )


def _calculate(binding: Binding, ledger: Ledger) -> Mapping[str, Any]:
    arguments: dict[str, Any] = {}
    for argument, name in binding.takes.items():
        if name.startswith("table."):
            arguments[argument] = ledger.table(name.removeprefix("table."))
            continue
        value = ledger.get(name.removesuffix("?"))
        if value is NA:
            if not name.endswith("?"):
                return {}
            value = None
        arguments[argument] = value
    try:
        result = binding.call(**arguments)
        return {name: _field(result, field) for name, field in binding.gives.items()}
    except LidworkError as error:
        raise _placed(error, binding) from error
    except (LookupError, TypeError, ValueError, ArithmeticError, StopIteration) as error:
        raise _unfit_tables(error, binding) from error


def _field(result: Any, field: str) -> Any:
    if result is None or not field:
        return result
    return result[field] if isinstance(result, Mapping) else getattr(result, field)


def _unfit_tables(error: Exception, binding: Binding) -> Exception:
    """A shop may have changed a table so that a calculation no longer finds what it needs."""
    tables = [name for name in binding.takes.values() if name.startswith("table.")]
    if not tables:
        return error
    return InputError.of(
        ", ".join(tables),
        f"the rows do not hold what {next(iter(binding.gives))} needs ({error!r})",
        "Compare rows and columns with the tables that lidwork ships.",
    )


def _placed(error: LidworkError, binding: Binding) -> LidworkError:
    """Name the fact behind an argument that was out of range, so that the fitter can mend it."""
    if isinstance(error, InputError):
        return error
    argument = getattr(error, "argument", "")
    name = binding.takes.get(argument, next(iter(binding.gives))).removesuffix("?")
    said = (
        f"{getattr(error, 'value', '')} is out of range; it must be {getattr(error, 'allowed', '')}"
    )
    what = said if argument in binding.takes else str(error)
    return InputError.of(name, what, "Correct this value or the answers that it comes from.")
