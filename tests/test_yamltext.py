"""Plain YAML with places; what is hostile or ambiguous is refused with its line."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.errors import InputError
from planner.yamltext import read_file, read_text


def test_values_keep_their_lines() -> None:
    """Every value knows its line, nested ones too."""
    tree = read_text("roof:\n  material: grp\n  obstacles:\n    - name: vent\n", "van.yaml")
    assert tree.value == {"roof": {"material": "grp", "obstacles": [{"name": "vent"}]}}
    assert tree.where(("roof", "material")) == "van.yaml:2"
    assert tree.where(("roof", "obstacles", 0, "name")) == "van.yaml:4"
    assert tree.where(("roof", "absent")) == "van.yaml:1"


@pytest.mark.parametrize(
    ("text", "value"),
    [("no", "no"), ("on", "on"), ("12:30", "12:30"), ("true", True), ("~", None), ("010", 10),
     ("1e3", 1000.0), ("-4.5", -4.5), ("'7'", "7"), ("2026-05-04", "2026-05-04"), (".nan", ".nan")],
)  # fmt: skip
def test_scalars_follow_yaml_1_2(text: str, value: object) -> None:
    """YAML 1.2.2 core schema, section 10.3.2: none of the surprises of YAML 1.1."""
    assert read_text(f"a: {text}", "x").value["a"] == value


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("a: 1\na: 2\n", r"x:2: 'a' appears twice \(first on line 1\)"),
        ("a: &b [1]\nc: *b\n", "x:1: anchors and aliases"),
        ("a: !!python/object:os.system {}\n", "x:1: the tag .tag:yaml.org,2002:python/object"),
        ("a: [1\n", "x:2: not valid YAML"),
        ("a: 1\n---\nb: 2\n", "x:2: a second document"),
        ("? [1, 2]\n: 3\n", "x:1: a list or mapping stands where a name belongs"),
        ("a: " + "[" * 30 + "]" * 30, "x:1: nested more than 20 deep"),
        ("- " * 5000, "x:1: nested more than 20 deep"),
        ("a: \x00", "not valid YAML"),
    ],
)
def test_what_is_not_plain_is_refused_with_its_line(text: str, message: str) -> None:
    """Duplicate keys, alias bombs, tags, depth: one message each, with its place."""
    with pytest.raises(InputError, match=message):
        read_text(text, "x")


def test_files_that_cannot_be_read_say_why(tmp_path: Path) -> None:
    """Missing, a folder, not text, too large: plain words each."""
    (tmp_path / "binary.yaml").write_bytes(b"a: \xff\xfe")
    (tmp_path / "huge.yaml").write_text("a: " + "x" * 500_001)
    for name, message in {
        "absent.yaml": "there is no such file",
        ".": "this is a folder",
        "binary.yaml": "not UTF-8",
        "huge.yaml": "over 500 kB",
        "nul\0byte": "cannot read",
    }.items():
        with pytest.raises(InputError, match=message):
            read_file(tmp_path / name)


@given(st.text())
def test_any_text_is_read_or_refused(text: str) -> None:
    """No text whatever gets past the reader as anything but data or an InputError."""
    try:
        tree = read_text(text, "x")
    except InputError:
        return
    assert tree.value is None or isinstance(tree.value, dict | list | str | int | float | bool)
    assert not (isinstance(tree.value, float) and math.isnan(tree.value))


def test_a_file_of_very_many_values_is_refused_by_name() -> None:
    """However small each is: reading them all would take longer than anybody waits."""
    with pytest.raises(InputError, match="more than 50000 values"):
        read_text("a: [" + "1," * 60_000 + "]", "van.yaml")
