"""The documents of a plan as text: the whole pack, a short form, or the customer's copy."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from typing import Any

from msgspec import Struct

from planner.pack import render
from planner.pack.compose import compose
from planner.pack.outline import ALL, ONLY
from planner.pack.pdf import pdf
from planner.plan.model import Plan

__all__ = ["ONLY", "Documents", "documents"]


class Documents(Struct, frozen=True, dict=True):
    """One document in three forms, each made when it is asked for.

    Attributes:
        context: What the templates print.
    """

    context: Mapping[str, Any]

    @cached_property
    def html(self) -> str:
        """The document as one HTML file.

        Raises:
            InputError: If a shop's own template cannot be filled.
        """
        return render.html(self.context)

    @cached_property
    def markdown(self) -> str:
        """The same as Markdown, without drawings."""
        return render.markdown_text(self.context)

    def paper_pdf(self) -> bytes:
        """Return the document as PDF, made from the HTML."""
        meta = self.context["meta"]
        return pdf(self.html, title=meta["title"], paper=meta["paper"])


def documents(plan: Plan, *, only: str = ALL, customer: bool = False) -> Documents:
    """Return the documents of a plan.

    Args:
        plan: The finished plan, with every fact worked out.
        only: ``all``, ``summary`` for one page, or a short form: ``method``, ``risk``,
            ``setting-out``, ``wiring``, ``materials``, ``tests``.
        customer: Leave out prices, internal notes and what a shop keeps for itself.
    """
    return Documents(compose(plan, only=only, customer=customer))
