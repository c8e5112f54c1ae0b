"""Keep compiled templates where Python keeps compiled modules, and on the same terms.

Whoever can write there can write the program too, so nothing more is trusted than before. As with
modules, ``PYTHONDONTWRITEBYTECODE`` and ``PYTHONPYCACHEPREFIX`` count, and a folder that cannot be
written means only that templates are compiled again.
"""

from __future__ import annotations

import contextlib
import hashlib
import sys
from functools import lru_cache
from importlib.metadata import version
from importlib.util import cache_from_source
from pathlib import Path

from jinja2.bccache import Bucket, BytecodeCache

from planner.folder import write_whole

#: Modules of ours that act while a template is compiled: constants are filled in then.
_ACTING = ("compiled.py", "render.py", "text.py", "imperial.py")


@lru_cache(maxsize=1)
def _made_by() -> str:
    """Return letters and digits that change with what compiles: Jinja, and our part in it."""
    here = Path(__file__).parent
    made = hashlib.sha256(b"".join((here / name).read_bytes() for name in _ACTING))
    made.update(version("jinja2").encode())
    return made.hexdigest()[:12]


class CompiledTemplates(BytecodeCache):
    """The compiled forms of template files, one for each way of filling them.

    Args:
        way: Letters and digits that name what the environment does to the text: the compiled form
            depends on it.
    """

    def __init__(self, way: str) -> None:
        self._way = f"{way}{_made_by()}"

    def get_cache_key(self, name: str, filename: str | None = None) -> str:  # noqa: ARG002
        """Return the path of the compiled form; empty for a template that is no file."""
        return cache_from_source(filename, optimization=self._way) if filename else ""

    def load_bytecode(self, bucket: Bucket) -> None:
        """Fill the bucket from its file, if there is one and it was made from this very text."""
        try:
            with Path(bucket.key).open("rb") as file:
                bucket.load_bytecode(file)
        except Exception:  # noqa: BLE001  - a damaged file breaks its reader in any way there is
            bucket.reset()

    def dump_bytecode(self, bucket: Bucket) -> None:
        """Keep what the bucket holds, if the place can be written."""
        if not bucket.key or sys.dont_write_bytecode:
            return
        with contextlib.suppress(OSError):
            Path(bucket.key).parent.mkdir(parents=True, exist_ok=True)
            write_whole(Path(bucket.key), bucket.bytecode_to_string())
