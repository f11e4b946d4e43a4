"""Posted forms, read within limits."""

from __future__ import annotations

from starlette.exceptions import HTTPException
from starlette.formparsers import MultiPartException
from starlette.requests import ClientDisconnect, Request

from markrules.photo_limits import LARGEST_BYTES
from markrules.web.desk import Posted, Refused
from markrules.web.guard import TooLarge, largest_post

MOST_FIELDS = 1200
MOST_FILES = 40
LARGEST_FIELD = 500_000

FORMS = ("application/x-www-form-urlencoded", "multipart/form-data")


async def posted(request: Request) -> Posted:
    """The fields and files of a posted form. Raises Refused for what is no form or too much."""
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if kind not in FORMS:
        raise Refused(415, "A form is wanted here.")
    fields: dict[str, str] = {}
    files: dict[str, tuple[bytes, ...]] = {}
    names: dict[str, tuple[str, ...]] = {}
    every: list[tuple[str, str]] = []
    try:
        async with request.form(
            max_files=MOST_FILES, max_fields=MOST_FIELDS, max_part_size=LARGEST_FIELD
        ) as form:
            for name, value in form.multi_items():
                if isinstance(value, str):
                    fields[name] = fields.get(name) or value
                    every.append((name, value))
                elif value.filename:
                    data = await value.read(max(largest_post(request.url.path), LARGEST_BYTES) + 1)
                    files[name] = (*files.get(name, ()), data)
                    names[name] = (*names.get(name, ()), value.filename)
    except TooLarge as problem:
        raise Refused(413, str(problem)) from None
    except (MultiPartException, HTTPException, UnicodeError, ValueError):
        raise Refused(400, "The form came damaged or holds too much.") from None
    except ClientDisconnect:
        raise Refused(400, "The form did not come whole.") from None
    return Posted(fields, files, tuple(every), names)
