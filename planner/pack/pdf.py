"""HTML to PDF. Nothing is fetched: a document that names anything outside itself is refused."""

from __future__ import annotations

import io
import re
import zlib

import plutoprint

#: Links inside the page need a base to lead anywhere; nothing is ever fetched from it.
BASE_URL = "pack:///"
#: Where a document wants the page on which a section begins.
_PAGE_OF = re.compile(r'(<span class="page-of" data-section="([a-z-]+)">)(</span>)')
#: Lays out the pages but paints nothing on them except what a link may lead to: half the time.
_UNPAINTED = "* { visibility: hidden !important } [id] { visibility: visible !important }"
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
    """Return the HTML as PDF; where its contents ask for page numbers, it is set twice.

    Args:
        html: A whole document whose style names the page margins.
        title: Title in the file's properties.
        paper: ``a4`` or ``letter``.

    Raises:
        FetchRefusedError: If the document names anything outside itself.
    """
    if not _PAGE_OF.search(html):
        return _set(html, title=title, paper=paper)
    unpainted = html.replace("</head>", f"<style>{_UNPAINTED}</style></head>", 1)
    pages = section_pages(_set(unpainted, title=title, paper=paper))
    numbered = _PAGE_OF.sub(lambda m: f"{m[1]}{pages.get(m[2], '')}{m[3]}", html)
    return _set(numbered, title=title, paper=paper)


def section_pages(content: bytes) -> dict[str, int]:
    """Return the page on which each named place of a PDF of ours stands, 1 for the first."""
    text = b"\n".join(_streams(content)).decode("latin-1")
    kids = re.search(r"/Kids \[([^\]]*)\]", text)
    order = re.findall(r"(\d+) 0 R", kids[1]) if kids else []
    places = re.findall(r"\(([a-z-]+)\) \[(\d+) 0 R /XYZ", text)
    found: dict[str, int] = {}
    for name, page in places:
        found[name] = min(order.index(page) + 1, found.get(name, len(order)))
    return found


def _streams(content: bytes) -> list[bytes]:
    """Return the packed objects of a PDF, unpacked."""
    packed = re.findall(rb"/Type /ObjStm.*?stream\r?\n(.*?)endstream", content, re.DOTALL)
    return [zlib.decompress(stream) for stream in packed]


def _set(html: str, *, title: str, paper: str) -> bytes:
    size = plutoprint.PAGE_SIZE_LETTER if paper == "letter" else plutoprint.PAGE_SIZE_A4
    fetcher = NothingFetched()
    book = plutoprint.Book(size, plutoprint.PAGE_MARGINS_NORMAL)
    book.custom_resource_fetcher = fetcher
    book.load_html(html, base_url=BASE_URL)
    book.set_metadata(plutoprint.PDF_METADATA_TITLE, title)
    book.set_metadata(plutoprint.PDF_METADATA_CREATOR, "lidwork")
    book.set_metadata(plutoprint.PDF_METADATA_CREATION_DATE, FIXED_DATE)
    book.set_metadata(plutoprint.PDF_METADATA_MODIFICATION_DATE, FIXED_DATE)
    out = io.BytesIO()
    book.write_to_pdf_stream(out)
    if fetcher.asked:
        raise FetchRefusedError(f"the document asked for {', '.join(sorted(set(fetcher.asked)))}")
    return out.getvalue()
