"""Compiled templates: kept beside their texts, made again whenever anything about them changed."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest
from jinja2 import Environment, FileSystemLoader
from jinja2.bccache import bc_magic

from planner.pack.compiled import CompiledTemplates


@pytest.fixture(autouse=True)
def writing(monkeypatch: pytest.MonkeyPatch) -> None:
    """Compiled modules may be written, and beside their sources."""
    monkeypatch.setattr(sys, "dont_write_bytecode", False)
    monkeypatch.setattr(sys, "pycache_prefix", None)


def filled(folder: Path, way: str = "html") -> str:
    """Return what a new environment makes of the template in the folder."""
    made = Environment(
        loader=FileSystemLoader(folder), bytecode_cache=CompiledTemplates(way), autoescape=True
    )
    return made.get_template("a.html.j2").render(name="roof")


def test_a_template_is_compiled_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The second environment needs no compiler; another way of filling has its own form."""
    (tmp_path / "a.html.j2").write_text("Wash the {{ name }}.", encoding="utf-8")
    assert filled(tmp_path) == "Wash the roof."
    monkeypatch.setattr(Environment, "compile", None)
    assert filled(tmp_path) == "Wash the roof."
    with pytest.raises(TypeError):
        filled(tmp_path, "markdown")


def test_another_text_is_compiled_again(tmp_path: Path) -> None:
    """Nobody gets yesterday's words."""
    for words in ("Wash", "Dry"):
        (tmp_path / "a.html.j2").write_text(words + " the {{ name }}.", encoding="utf-8")
        assert filled(tmp_path) == f"{words} the roof."


def test_what_is_damaged_or_cannot_be_kept_is_compiled(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A file that is no compiled template, and a folder that cannot be made, cost only time."""
    (tmp_path / "a.html.j2").write_text("Wash the {{ name }}.", encoding="utf-8")
    filled(tmp_path)
    (kept,) = (tmp_path / "__pycache__").iterdir()
    whole = kept.read_bytes()
    for damaged in (b"damaged", bc_magic + b"damaged", *(whole[:end] for end in range(0, 200, 7))):
        kept.write_bytes(damaged)
        assert filled(tmp_path) == "Wash the roof."
    (tmp_path / "file").write_text("", encoding="utf-8")
    monkeypatch.setattr(sys, "pycache_prefix", str(tmp_path / "file"))
    assert filled(tmp_path) == "Wash the roof."


def test_nothing_is_kept_where_python_keeps_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """``PYTHONDONTWRITEBYTECODE`` counts for templates too."""
    monkeypatch.setattr(sys, "dont_write_bytecode", True)
    (tmp_path / "a.html.j2").write_text("Wash the {{ name }}.", encoding="utf-8")
    filled(tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["a.html.j2"]
