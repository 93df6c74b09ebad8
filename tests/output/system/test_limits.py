from __future__ import annotations

import json
import resource
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drafting.errors import OutputError
from output.system.limits import DEEPEST, DIGITS, check_json, check_toml
from sampled import DESIGN, MEASUREMENTS

LEGAL = r'''
# [[[[ "not a string ' and = , . . . .
title = "a # is no comment, [[ no list, a\"b = {"  # but this " is
'quoted key' = 1
"and = one" = 'C:\path\[['
site."point.ed".name = true
dotted . with . blanks = 1
empty = ""
none = \'\'
three = """ "" [[[ " one \""" more
[[[[
"""""
literal = \'\'\' \'\' [[[ ' \
" \'\'\'\'\'
nested = [[1, 2.5], [["a", "]"], []], {x = {y = [1, {z = 2}]}}]
numbers = [1_000, 0x1F, 0o17, 0b11, 1e3, +5, -0.0, 6.02e-23, inf, nan, 3.141592653589793]
date = 1979-05-27T07:32:00.999999-07:00
[table.sub."sub"]
[[list]]
[[list.inner]]
'''.replace(r"\'", "'")
"""Every kind of value of TOML 1.0, with what a careless count would take for something else."""


def refused(text: str) -> str:
    with pytest.raises(OutputError) as caught:
        check_toml(text, "a.toml")
    assert len(str(caught.value).splitlines()) == 1
    return str(caught.value).removeprefix("a.toml: ")


def test_legal_and_ordinary_files_pass() -> None:
    tomllib.loads(LEGAL)
    check_toml(LEGAL, "a.toml")
    check_toml(LEGAL * 100, "a.toml")
    for path in (DESIGN, MEASUREMENTS, Path(__file__).parents[3] / "pyproject.toml"):
        check_toml(path.read_text(), path)


def test_depth_and_parts_up_to_the_limit_pass() -> None:
    for text in (
        "a = " + "[" * DEEPEST + "]" * DEEPEST,
        "[" + ".".join("a" * DEEPEST) + "]",
        ".".join("a" * DEEPEST) + " = 1",
        "a = [\n" + "[1.5, 2.5],\n" * 5000 + "]",
        "a = " + "9" * DIGITS,
    ):
        check_toml(text, "a.toml")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("a = 1\nb = " + "[" * 100_000, "line 2: its tables are nested too deeply"),
        ("a = " + "{a=" * 100_000, "line 1: its tables are nested too deeply"),
        ("a = [\n" + "[\n" * 33 + "]" * 33, "line 33: its tables are nested too deeply"),
        (".".join("a" * 60_000) + " = 1", "line 1: a key has more than 32 parts"),
        ("\n[" + " . ".join(["'a'"] * 60_000) + "]", "line 2: a key has more than 32 parts"),
        ("a = {" + ".".join(['"a"'] * 33) + " = 1}", "line 1: a key has more than 32 parts"),
        ("".join(f"a{n} = 1\n" for n in range(60_000)), "line 50001: more than 50000 keys and values"),
        ("".join(f"a{n}.b.c.d = 1\n" for n in range(20_000)), "line 12501: more than 50000 keys and values"),
        ("[[a]]\n" * 30_000, "line 25001: more than 50000 keys and values"),
        ("a = " + "9" * 5000, "line 1: a number of more than 100 digits"),
        ("a = 0x" + "9" * 5000, "line 1: a number of more than 100 digits"),
        ("a = 1." + "9_9" * 5000, "line 1: a number of more than 100 digits"),
        ("a = '''\n'''\nb = 1e" + "9" * 5000, "line 3: a number of more than 100 digits"),
    ],
    ids=range(13),
)
def test_traps_are_refused_with_their_line(text: str, words: str) -> None:
    assert refused(text).startswith(words)


def test_a_string_that_does_not_close_ends_the_count() -> None:
    for text in ('a = "' + "[" * 99, "a = '" + "[" * 99, 'a = """' + "[" * 99, "a = '''" + "[" * 99):
        check_toml(text, "a.toml")  # and the parser refuses it for the quote
        with pytest.raises(tomllib.TOMLDecodeError):
            tomllib.loads(text)


@given(st.text(alphabet="[]{}=,.\"'\\\n#ab1 ", max_size=80))
def test_no_text_that_is_toml_is_ever_refused_below_the_limits(text: str) -> None:
    try:
        tomllib.loads(text)
    except ValueError:
        return
    if text.count("[") + text.count("{") <= DEEPEST and text.count(".") < DEEPEST:
        check_toml(text, "a.toml")


@given(st.recursive(st.none() | st.floats() | st.text(), st.lists, max_leaves=9))
def test_json_of_ordinary_depth_passes(document: object) -> None:
    check_json(json.dumps(document), "a.json")


@pytest.mark.parametrize(
    "text",
    [
        ".".join("a" * 60_000) + " = 1",
        "".join(f"a{n}." + ".".join("a" * 31) + "=1\n" for n in range(13_000)),
        "a=" + "[" * 900_000,
        "a=" + "{a=" * 300_000,
        "a=[" + "1," * 450_000 + "]",
        "".join(f"a{n}=1\n" for n in range(90_000)),
        "[[a]]\n" * 160_000,
        '"""\\"' * 180_000,
        'a = "' + "\\u00e9" * 150_000 + '"',
        'a = """' + "\\\n \n" * 150_000 + '"""',
        "'" * 900_000,
        '"' * 900_000,
        "a" * 900_000,
        "a." * 450_000,
        "#" * 900_000,
        "1" * 900_000,
        "a = " + "1_1" * 300_000,
    ],
    ids=range(17),
)
def test_no_file_within_its_size_takes_long_or_much_memory(tmp_path: Path, text: str) -> None:
    path = tmp_path / "a.toml"
    path.write_text(text)
    assert path.stat().st_size <= 1_000_000
    limit = 512 << 20
    script = (
        "import sys; from output.system.reading import read_toml; from drafting.errors import OutputError\n"
        "try: read_toml(sys.argv[1])\nexcept OutputError: pass"
    )
    subprocess.run(
        [sys.executable, "-c", script, path],
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_AS, (limit, limit)),
        check=True,
        timeout=20,
    )
