"""PDFs with layers, as readers save and show them."""

from __future__ import annotations

import shutil
import subprocess
from io import BytesIO
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pypdfium2
import pytest
from numpy.typing import NDArray
from PIL import Image
from pypdf import PdfReader, PdfWriter
from pypdf.generic import ArrayObject, IndirectObject, NameObject

SCALE = 1.0
"""Pixels for each unit of 1/72 inch."""

DARK = 235
"""A pixel darker than this in any colour has ink on it."""


def layers(reader: PdfReader) -> dict[str, IndirectObject]:
    groups = reader.root_object["/OCProperties"]["/OCGs"]
    return {str(group.get_object()["/Name"]): group for group in groups}


def switched(data: bytes, *off: str) -> bytes:
    """The file as a reader would save it with these layers off."""
    writer = PdfWriter(clone_from=BytesIO(data))
    properties = writer.root_object["/OCProperties"]
    groups = {str(group.get_object()["/Name"]): group for group in properties["/OCGs"]}
    properties["/D"][NameObject("/OFF")] = ArrayObject(groups[name] for name in off)
    properties["/D"][NameObject("/ON")] = ArrayObject(group for name, group in groups.items() if name not in off)
    out = BytesIO()
    writer.write(out)
    return out.getvalue()


def pdfium(data: bytes) -> list[NDArray[np.uint8]]:
    document = pypdfium2.PdfDocument(data)
    return [np.asarray(page.render(scale=SCALE).to_pil().convert("RGB")) for page in document]


def poppler(data: bytes) -> list[NDArray[np.uint8]]:
    program = shutil.which("pdftoppm")
    if program is None:
        pytest.skip("pdftoppm is not installed")
    with TemporaryDirectory() as folder:
        command = [program, "-r", str(72 * SCALE), "-", f"{folder}/page"]
        run = subprocess.run(command, input=data, capture_output=True, check=True)
        assert run.stderr == b""
        return [np.asarray(Image.open(path).convert("RGB")) for path in sorted(Path(folder).iterdir())]


def ink(page: NDArray[np.uint8]) -> NDArray[np.bool_]:
    return np.any(page < DARK, axis=2)
