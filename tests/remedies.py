"""What a refusal of a short says to do, and the same order with that done."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, fields, replace
from typing import Any, Final

from blocks.fitting import Fitting
from blocks.measurements import RANGES, Body, body_from
from blocks.short import Short, ShortCasing, ShortDesign, draft_short
from drafting.units import MILLIMETRES

PLAIN: Final = ShortDesign("Plain")
TABLES: Final[Mapping[str, Any]] = {
    one.name: getattr(PLAIN, one.name) for one in fields(PLAIN) if hasattr(getattr(PLAIN, one.name), "called")
}
"""The tables of a design, each as it is when nothing is set."""

Settings = Mapping[str, Any]

NUMBER = r"(-?[\d.]*\d)(?: (mm|cm|in|deg)\b)?"
SETTING = re.compile(rf'(\w+)\.(\w+) (?:to|=) (?:{NUMBER}|"([\w-]+)")')
WIDTH = re.compile(rf"its elastic at most {NUMBER} wide")
BESIDE_INCHES = re.compile(r"(?<= in) \([^()]* cm\)")
OWN = re.compile(r"^casing '([^']+)': ")
DEPTH = re.compile(rf"(?:make it at least|casing '([^']+)' at least) {NUMBER} deep")


@dataclass(frozen=True)
class Asked:
    """An order for one short: measurements in mm, what is set in a design's tables, and how it is to be drafted.

    `unit` is what its designer is told lengths in.
    """

    taken: Mapping[str, float]
    tables: Mapping[str, Settings] = field(default_factory=dict)
    casings: tuple[Settings, ...] = ()
    rise: str = "high"
    split: bool = False
    found: Mapping[str, float] = field(default_factory=dict)
    unit: str = "mm"

    @property
    def body(self) -> Body:
        return replace(body_from(self.taken, unit="mm"), fitting=Fitting(**self.found))

    @property
    def design(self) -> ShortDesign:
        tables: dict[str, Any] = {name: type(TABLES[name])(**values) for name, values in self.tables.items()}
        casings = tuple(ShortCasing(**casing) for casing in self.casings)
        return ShortDesign("Any", casings=casings, unit=self.unit, **tables)

    def draft(self) -> Short:
        return draft_short(self.design, self.body, rise=self.rise, split=self.split)

    def set(self, table: str, name: str, value: Any) -> Asked:
        """With one number of the design set, or left out when it is None."""
        values = {**self.tables.get(table, {}), name: value}
        if value is None:
            values.pop(name)
        return replace(self, tables={**self.tables, table: values})

    def with_casing(self, name: str, **changes: Any) -> Asked:
        return replace(self, casings=tuple({**one, **changes} if one["name"] == name else one for one in self.casings))


def kind(said: str) -> str:
    """A refusal without its numbers: the same fault in the same place reads alike."""
    return re.sub(NUMBER, "#", said.partition("; ")[0])


def followed(asked: Asked, said: str) -> list[Asked]:
    """The orders that come of a refusal's remedies, one for each."""
    said = BESIDE_INCHES.sub("", said.partition("; or lessen what")[0])
    place = said.partition(":")[0]
    if place in RANGES and "; set " not in said:
        return list(_measured_again(asked, place, said))
    if place.startswith("fit."):
        return list(_less_found(asked, place.removeprefix("fit."), said))
    made = [*_casing_moved(asked, said), *_set(asked, said), *_placed(asked, said)]
    return [one for one in made if one != asked]


def _measured_again(asked: Asked, name: str, said: str) -> Iterator[Asked]:
    """Measured again, within what the other measurements allow: at the nearer end of it."""
    low, high = 0.0, 1e4
    if found := re.search(rf"(?:allows?|outside) {NUMBER} to {NUMBER}", said):
        scale = MILLIMETRES[found[4]]
        low, high = float(found[1]) * scale, float(found[3]) * scale
    for way, value, unit in re.findall(rf"\b(more|less) than {NUMBER}", said):
        if way == "more":
            low = float(value) * MILLIMETRES[unit] + 0.1
        else:
            high = float(value) * MILLIMETRES[unit] - 0.1
    if (low, high) == (0.0, 1e4):
        if f"leave {name} out" in said:
            yield replace(asked, taken={other: value for other, value in asked.taken.items() if other != name})
        return
    now = asked.taken.get(name, low)
    yield replace(asked, taken={**asked.taken, name: min(max(now, low), high)})


def _less_found(asked: Asked, name: str, said: str) -> Iterator[Asked]:
    """Less of what a fitting found, or nothing of it."""
    for amount, unit in re.findall(rf"{NUMBER} at most", said):
        yield replace(asked, found={**asked.found, name: float(amount) * MILLIMETRES[unit or "mm"]})
    if re.search(rf"leave (?:it|one|{name}) out", said):
        yield replace(asked, found={other: by for other, by in asked.found.items() if other != name})


def _set(asked: Asked, said: str) -> Iterator[Asked]:
    """Numbers set, each alternative by itself: "set a.b to 3 mm and c.d to 4 mm, or e.f to 5 mm"."""
    advice = said.rpartition("; ")[2]
    if "nearer their usual value" in advice:
        for table, name in re.findall(r"(\w+)\.(\w+)", advice):
            yield asked.set(table, name, None)
        return
    key = said.partition(":")[0]
    advice = advice.replace("set it to", f"set {key} to")
    for way in re.split(r",? or ", advice):
        changed = asked
        for table, name, value, unit, word in SETTING.findall(way):
            if table in TABLES:
                changed = changed.set(table, name, word or float(value) * MILLIMETRES.get(unit, 1.0))
        for name, full in re.findall(r"casing '([^']+)'(?:\.fullness)? to (\d[\d.]*)", way):
            changed = changed.with_casing(name, fullness=float(full))
        if found := re.search(r"leave (?:out )?(\w+\.\w+(?: and \w+\.\w+)*)", way):
            for table, name in re.findall(r"(\w+)\.(\w+)", found[1]):
                changed = changed.set(table, name, None)
        yield changed


def _placed(asked: Asked, said: str) -> Iterator[Asked]:
    """A pocket at either end of where it may lie."""
    if found := re.search(r"free on this body is (.*): set (\w+)\.(\w+) to one of these", said):
        for low, unit, high, _ in re.findall(rf"from {NUMBER} to {NUMBER}", found[1]):
            for value in (low, high):
                yield asked.set(found[2], found[3], float(value) * MILLIMETRES[unit or "mm"])


def _casing_moved(asked: Asked, said: str) -> Iterator[Asked]:
    own = OWN.match(said)
    if deep := DEPTH.search(said):
        changes = {"depth": float(deep[2]) * MILLIMETRES[deep[3]]}
        if wide := WIDTH.search(said):
            changes["elastic_width"] = float(wide[1]) * MILLIMETRES[wide[2]]
        yield asked.with_casing(deep[1] or (own[1] if own else ""), **changes)
    if not own:
        return
    name, advice = own[1], said.rpartition(": ")[2]
    if full := re.search(r"set its fullness to (\d[\d.]*)", advice):
        yield asked.with_casing(name, fullness=float(full[1].rstrip(".")))
    if full := re.search(r"its fullness of .*; set it to (-?[\d.]*\d) at (?:most|least)", said):
        yield asked.with_casing(name, fullness=float(full[1]))
    if "leave it out" in advice:
        yield replace(asked, casings=tuple(one for one in asked.casings if one["name"] != name))
    for way, by, unit in re.findall(rf"\b(up|down) by {NUMBER}", advice):
        height = next(one["height"] for one in asked.casings if one["name"] == name)
        moved = height + (1 if way == "up" else -1) * float(by) * MILLIMETRES[unit]
        yield asked.with_casing(name, height=moved)
    shares = re.search(r"set its share to (-?[\d.]*\d)(?: or (-?[\d.]*\d)(?! (?:mm|cm|in)))?", advice)
    for share in shares.groups() if shares else ():
        if share:
            yield asked.with_casing(name, share=float(share))
