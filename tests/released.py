"""What the files of a release say, read back from their bytes: words of PDFs in order, tables by size and rise."""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from pypdf import PdfReader

from guides import WORDS

Cells = list[tuple[str, ...]]
"""Cells of a row, each as its lines."""


def lines(path: Path) -> list[list[str]]:
    """The lines of each page."""
    return [
        [" ".join(line.split()) for line in page.extract_text().split("\n") if line.strip()]
        for page in PdfReader(path).pages
    ]


def words(path: Path) -> str:
    return " ".join(" ".join(page) for page in lines(path))


def table(path: Path) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(path.read_text("utf-8"), newline=""), strict=True))


@dataclass(frozen=True)
class Guide:
    """A printed guide, its labels known."""

    path: Path
    labels: Sequence[str]

    @cached_property
    def body(self) -> list[str]:
        """All lines but those of the cover, the contents and the feet of pages."""
        pages = lines(self.path)
        return [line for page in pages[2:] for line in page[2:]]

    @cached_property
    def words(self) -> str:
        return " ".join(self.body)

    def section(self, key: str) -> list[str]:
        """The lines below the heading of that key, up to the next section."""
        start = self.body.index(WORDS.say(key)) + 1
        keys = ("files", "body", "measure", "finished", "blend", "cloth", "lays", "elastics", "pieces", "need", "steps")
        ends = [self.body.index(WORDS.say(name), start) for name in keys if WORDS.say(name) in self.body[start:]]
        return self.body[start : min(ends, default=len(self.body))]

    def rows(self, key: str, rise: str = "") -> dict[str, list[str]]:
        """By size the lines of its row in a section's first table, or in that below a rise."""
        found: dict[str, list[str]] = {}
        inside, size = not rise, ""
        for line in self.section(key):
            if line in (WORDS.say("rise.high"), WORDS.say("rise.mid")):
                inside, size = line == WORDS.say(f"rise.{rise}") if rise else True, ""
            elif inside and line in self.labels and line not in found:
                size, found[line] = line, []
            elif inside and size and re.fullmatch(r"(≈ )?[\d ./–-]+( m| yd)?|waist|hips", line):
                found[size].append(line.removeprefix("≈ "))
            else:
                size = ""
        return found

    def head(self, key: str, rise: str) -> str:
        """The words between a rise's heading in a section and its first row."""
        section = self.section(key)
        start = section.index(WORDS.say(f"rise.{rise}"))
        first = next(place for place in range(start, len(section)) if section[place] in self.labels)
        return " ".join(section[start + 1 : first])


def cells(row: Sequence[str]) -> Cells:
    """The lines of a row as cells: a dash or a word by itself, and else metric above imperial."""
    made: Cells = []
    rest: Iterator[str] = iter(row)
    for line in rest:
        made.append((line,) if line in ("–", "waist", "hips") else (line, next(rest)))
    return made


def manifest(folder: Path) -> dict[str, object]:
    return json.loads((folder / "manifest.json").read_bytes())
