"""HTML to PDF. Nothing is fetched: a document that names anything outside itself is refused."""

from __future__ import annotations

import io

import plutoprint

#: PDF files carry a date; ours is fixed, so that the same plan gives the same bytes.
FIXED_DATE = "2000-01-01T00:00:00+00:00"


class FetchRefusedError(Exception):
    """The HTML named something outside itself: our own fault, for templates never do."""


class NothingFetched(plutoprint.ResourceFetcher):
    """Answers every request with nothing and remembers it; data: URIs never come this far."""

    def __init__(self) -> None:
        super().__init__()
        self.asked: list[str] = []

    def fetch_url(self, url: str) -> plutoprint.ResourceData:
        """Return empty data."""
        self.asked.append(url)
        return plutoprint.ResourceData(b"", "text/plain")


def pdf(html: str, *, title: str, paper: str) -> bytes:
    """Return the HTML as PDF.

    Args:
        html: A whole document whose style names the page margins.
        title: Title in the file's properties.
        paper: ``a4`` or ``letter``.

    Raises:
        FetchRefusedError: If the document names anything outside itself.
    """
    size = plutoprint.PAGE_SIZE_LETTER if paper == "letter" else plutoprint.PAGE_SIZE_A4
    fetcher = NothingFetched()
    book = plutoprint.Book(size, plutoprint.PAGE_MARGINS_NORMAL)
    book.custom_resource_fetcher = fetcher
    book.load_html(html)
    book.set_metadata(plutoprint.PDF_METADATA_TITLE, title)
    book.set_metadata(plutoprint.PDF_METADATA_CREATOR, "lidwork")
    book.set_metadata(plutoprint.PDF_METADATA_CREATION_DATE, FIXED_DATE)
    book.set_metadata(plutoprint.PDF_METADATA_MODIFICATION_DATE, FIXED_DATE)
    out = io.BytesIO()
    book.write_to_pdf_stream(out)
    if fetcher.asked:
        raise FetchRefusedError(f"the document asked for {', '.join(sorted(set(fetcher.asked)))}")
    return out.getvalue()
