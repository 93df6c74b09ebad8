"""Names of files: one for each label on every file system; and nothing that steers a terminal."""

from __future__ import annotations

from itertools import permutations
from unicodedata import is_normalized, normalize

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drafting.errors import OutputError
from output.system.names import LONGEST, LONGEST_BYTES, folded, on_terminal, slug, stem, stems, together

WINDOWS = {"con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in "123456789¹²³")}
"""Names that Windows keeps for devices: Microsoft, *Naming Files, Paths, and Namespaces*, from memory."""


def seen_by(system: str, name: str) -> str:
    """A name as file systems compare it: NTFS by capitals, APFS by canonical form and capitals, others plainly."""
    return {
        "plain": name,
        "ntfs": "".join(letter.upper() if len(letter.upper()) == 1 else letter for letter in name),
        "apfs": normalize("NFD", normalize("NFD", name).casefold()),
        "compatible": normalize("NFKD", normalize("NFKC", name).casefold()),
    }[system]


def hold(found: dict[str, str]) -> None:
    for system in ("plain", "ntfs", "apfs", "compatible"):
        assert len({seen_by(system, one) for one in found.values()}) == len(found), (system, found)
    for one in found.values():
        assert one
        assert is_normalized("NFC", one)
        assert len(one) <= LONGEST
        assert len(one.encode()) <= LONGEST_BYTES
        assert one.casefold() not in WINDOWS
        assert not set(one) & set('<>:"/\\|?*. \0')
        assert not one.startswith("-")
        assert not one.endswith("-")


@pytest.mark.parametrize(
    ("labels", "expected"),
    [
        (["H98", "H102"], ["H98", "H102"]),
        (["M", "M+"], ["M", "M-plus"]),
        (["36/38", "36-38"], ["36-slash-38", "36-38"]),
        (["10", "10*"], ["10", "10-star"]),
        (["1/2", "1-2"], ["1-slash-2", "1-2"]),
        (["S short", "S (short)"], ["S-short", "S-bracket-short"]),
        (["xl", "XL"], ["xl-2", "XL"]),
        (["M+", "M*"], ["M-plus", "M-star"]),
        (["M+", "L+"], ["M", "L"]),
        (["M", "M+", "M plus"], ["M", "M-2", "M-plus"]),
        (["é", "e\u0301"], ["é", "é-2"]),
        (["+", "***", "…"], ["plus", "star-star-star", "horizontal-ellipsis"]),
        (["con", "NUL", "com¹", "Lpt9"], ["con-2", "NUL-2", "com¹-2", "Lpt9-2"]),
        (["की", "का"], ["की", "का"]),
        (["М", "M"], ["М", "M"]),  # Cyrillic and Latin
        (["M", "Ｍ"], ["M", "Ｍ-2"]),
    ],
)
def test_each_label_has_a_stem_of_its_own(labels: list[str], expected: list[str]) -> None:
    found = stems(labels)
    assert list(found.values()) == expected
    assert list(found) == labels
    hold(found)


def test_stems_do_not_depend_on_the_order_of_the_labels() -> None:
    labels = ["M", "m", "M+", "M *", "M-", "M plus"]
    expected = stems(labels)
    for shuffled in permutations(labels):
        assert stems(shuffled) == expected


def test_long_labels_alike_in_the_first_characters_are_told_apart() -> None:
    labels = [f"{'x' * 40}{number}" for number in range(120)]
    hold(stems(labels))


@given(st.lists(st.text(max_size=20), max_size=12, unique=True))
def test_stems_of_any_texts_are_apart_on_every_file_system(labels: list[str]) -> None:
    hold(stems(labels))


@given(st.lists(st.text("aAbB1+*-/ ﬁſKİıßé\u0301\u200d²½", min_size=1, max_size=5), max_size=10, unique=True))
def test_stems_of_texts_that_fold_into_one_another_are_apart(labels: list[str]) -> None:
    hold(stems(labels))


def test_a_common_name_keeps_its_stem() -> None:
    assert [stem(name) for name in ("heron shorts", "H102", "36/38", "Größe 40")] == [
        "heron-shorts",
        "H102",
        "36-38",
        "Größe-40",
    ]
    assert slug("Heron shorts / 2") == "Heron-shorts-2"


def test_marks_upon_letters_stay_with_them() -> None:
    assert stem("हिंदी") == "हिंदी"
    assert stem("ที่สุด") == "ที่สุด"


@pytest.mark.parametrize(("one", "other"), [("a.pdf", "A.pdf"), ("é.pdf", "e\u0301.pdf"), ("a.pdf", "a.pdf")])
def test_files_that_would_be_written_over_one_another_are_refused(one: str, other: str) -> None:
    assert folded(one) == folded(other)
    with pytest.raises(OutputError, match="it would be written over"):
        together([(one, b"1"), ("b.pdf", b"2"), (other, b"3")])
    assert together([(one, b"1"), ("b.pdf", b"2")]) == {one: b"1", "b.pdf": b"2"}


def test_what_steers_a_terminal_is_spelled_out() -> None:
    assert on_terminal("a\x1b[31mb\r\nc\u202ed\ud800\n") == "a\\x1b[31mb\r\nc\\u202ed\\ud800\n"
    assert on_terminal("می\u200cخواهم, 北, é\n") == "می\u200cخواهم, 北, é\n"
