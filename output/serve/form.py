"""The fields of a form that a page has sent, as text, within bounds."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final
from urllib.parse import parse_qsl

from starlette.requests import Request

from drafting.errors import DraftError

KIND: Final = "application/x-www-form-urlencoded"

MOST_FIELDS: Final = 400
MOST_BYTES: Final = 64 * 1024
"""Of a form; the longest that a page for wearers sends has a few thousand."""


class FormError(DraftError):
    """A form that no page of ours sends."""


async def fields(
    request: Request, *, most_bytes: int = MOST_BYTES, most_fields: int = MOST_FIELDS, empty: bool = False
) -> Mapping[str, str]:
    """The fields of a form, each once, with blanks at the ends taken off; what was left `empty` is left out if not
    asked for.

    Raises:
        FormError: it is not such a form, too long, or has a field twice.
    """
    if request.headers.get("content-type", "").partition(";")[0].strip().lower() != KIND:
        raise FormError("form: it is not sent as a page of ours sends it; open the page anew and try again")
    body = bytearray()
    async for chunk in request.stream():
        body += chunk
        if len(body) > most_bytes:
            raise FormError(f"form: it is longer than {most_bytes} bytes; write less")
    return parsed(bytes(body), most=most_fields, empty=empty)


def parsed(body: bytes, *, most: int = MOST_FIELDS, empty: bool = False) -> Mapping[str, str]:
    """The fields in the body of a form, `most` at the most.

    >>> parsed(b"waist=76&hip=+102+&note=")
    {'waist': '76', 'hip': '102'}
    >>> parsed(b"waist=&hip=102", empty=True)
    {'waist': '', 'hip': '102'}

    Raises:
        FormError: it is no form, or has a field twice.
    """
    try:
        pairs = parse_qsl(
            body.decode("ascii"), keep_blank_values=True, encoding="utf-8", errors="strict", max_num_fields=most
        )
    except ValueError:  # UnicodeDecodeError among them
        raise FormError("form: it cannot be read; open the page anew and try again") from None
    found: dict[str, str] = {}
    for name, value in pairs:
        if name in found:
            raise FormError("form: a field is there twice; open the page anew and try again")
        found[name] = value.strip()
    return {name: value for name, value in found.items() if value or empty}
