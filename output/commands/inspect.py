"""The inspect command: what a PDF or a release holds, read back from its files alone."""

from __future__ import annotations

from argparse import Namespace

from output.inspection.folder import FolderInspection, inspect_folder
from output.inspection.pdf import Inspection, inspect_pdf
from output.inspection.pdf_objects import LARGEST
from output.system.reading import is_folder, read_bytes


def inspect(arguments: Namespace) -> Inspection | FolderInspection:
    """Inspect the file that the command line names, or the release in the folder that it names.

    Raises:
        OutputError: it cannot be read, is damaged, or is not of ours.
    """
    path = arguments.file
    if is_folder(path):
        return inspect_folder(path)
    return inspect_pdf(read_bytes(path, "PDF", LARGEST), path)
