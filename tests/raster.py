"""Pages as pixels."""

from __future__ import annotations

import math

import numpy as np
import pypdfium2
from pypdfium2 import raw


def rendered(data: bytes, index: int, dpi: float, *, shift: float = 0.0) -> np.ndarray:
    """A page in grey at exactly `dpi`: the plain renderer would stretch it to a whole number of pixels.

    It may be moved by a part of a pixel, right and down.
    """
    page = pypdfium2.PdfDocument(data)[index]
    scale = dpi / 72
    width, height = (math.ceil(side * scale) for side in page.get_size())
    bitmap = pypdfium2.PdfBitmap.new_native(width, height, raw.FPDFBitmap_Gray)
    bitmap.fill_rect((255, 255, 255, 255), 0, 0, width, height)
    matrix, clip = raw.FS_MATRIX(scale, 0, 0, scale, shift, shift), raw.FS_RECTF(0, 0, width, height)
    raw.FPDF_RenderPageBitmapWithMatrix(bitmap, page, matrix, clip, 0)
    return bitmap.to_numpy().copy()
