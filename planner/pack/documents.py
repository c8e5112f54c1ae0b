"""The documents of a plan as text: the whole pack, a short form, or the customer's copy."""

from __future__ import annotations

from dataclasses import dataclass

from planner.pack import render
from planner.pack.compose import compose
from planner.pack.outline import ALL, ONLY
from planner.pack.pdf import pdf
from planner.plan.model import Plan

__all__ = ["ONLY", "Documents", "documents"]


@dataclass(frozen=True)
class Documents:
    """One document in its two texts, from which ``paper_pdf`` makes the third form.

    Attributes:
        title: Title of the job.
        paper: ``a4`` or ``letter``.
        html: The document as one HTML file.
        markdown: The same as Markdown, without drawings.
    """

    title: str
    paper: str
    html: str
    markdown: str

    def paper_pdf(self) -> bytes:
        """Return the document as PDF."""
        return pdf(self.html, title=self.title, paper=self.paper)


def documents(plan: Plan, *, only: str = ALL, customer: bool = False) -> Documents:
    """Return the documents of a plan.

    Args:
        plan: The finished plan, with every fact worked out.
        only: ``all``, ``summary`` for one page, or a short form: ``method``, ``risk``,
            ``setting-out``, ``wiring``, ``materials``, ``tests``.
        customer: Leave out prices, internal notes and what a shop keeps for itself.
    """
    context = compose(plan, only=only, customer=customer)
    meta = context["meta"]
    return Documents(
        title=meta["title"],
        paper=meta["paper"],
        html=render.html(context),
        markdown=render.markdown_text(context),
    )
