"""The inspect command: what a PDF or a release holds, read back from its files alone."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from blocks.parameters import of_kind
from drafting.errors import DraftError
from output.commands.request import Request
from output.inspection.folder import FolderInspection, inspect_folder
from output.inspection.pdf import Inspection, inspect_pdf
from output.inspection.pdf_objects import LARGEST
from output.system.reading import is_folder, read_bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class InspectRequest(Request):
    """A PDF, or the folder of a release, to be read back."""

    file: str | Path


def inspect(request: InspectRequest) -> Inspection | FolderInspection:
    """Inspect a file, or the release in a folder.

    Raises:
        OutputError: it cannot be read, is damaged, or is not of ours.
    """
    path = str(of_kind("request", request, InspectRequest, DraftError).file)
    if is_folder(path):
        return inspect_folder(path)
    return inspect_pdf(read_bytes(path, "PDF", LARGEST), path)
