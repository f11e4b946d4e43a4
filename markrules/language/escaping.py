"""JSON whose every character is safe to show and to send: what cannot be seen is escaped."""

from __future__ import annotations

import re

_UNSEEN = re.compile(
    "[\x7f-\x9f\u00ad\u061c\u180e\u200b\u200e\u200f\u2028-\u202e\u2060-\u206f\ud800-\udfff\ufeff"
    "\ufff9-\ufffb]"
)
"""Control characters above those that JSON escapes by itself (C1 begins terminal commands as ESC
does: ECMA-48 5.3), direction and other format characters, line separators, lone surrogates.
Joiners stay: scripts need them."""


def escaped_json(text: str) -> str:
    r"""A JSON document with unseen characters as `\uXXXX` (RFC 8259, 7): it means the same."""
    return _UNSEEN.sub(lambda found: f"\\u{ord(found[0]):04x}", text)


def json_in_html(text: str) -> str:
    r"""JSON for a script element: `<` is `\u003c`, so that no `</script` ends it early."""
    return escaped_json(text).replace("<", "\\u003c")
