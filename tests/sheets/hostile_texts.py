"""Texts that try to be something else: markup, script, formulas, and signs that turn text about."""

from __future__ import annotations

PLAIN_HOSTILE = (
    "<script>document.documentElement.setAttribute('data-ran','1')</script>",
    '<img src=http://hostile.invalid/a.png onerror="document.documentElement.dataset.ran=1">',
    "</title><script>document.documentElement.dataset.ran=1</script>",
    "</style><svg onload=document.documentElement.dataset.ran=1>",
    "\"><iframe src='http://hostile.invalid/frame'></iframe>",
    "'><a href='javascript:alert(1)'>x</a>",
    "<link rel=stylesheet href=http://hostile.invalid/x.css>",
    "@import url(http://hostile.invalid/y.css);",
    "&lt;b&gt; &amp; &#x3c;script&#x3e;",
    "{{ 7 * 7 }} {% for x in y %} ${7*7} #{7*7}",
    "]]> <!-- --> <![CDATA[ x ]]>",
    '#image("/etc/passwd") #sys.inputs #eval("1+1") #set text(red)',
    "*bold* _it_ $x^2$ `raw` = Heading @ref <label> // comment /* x */ \\ #",
    '=HYPERLINK("http://hostile.invalid","x")',
    "+1+cmd|'/C calc'!A0",
    "-2+3",
    "@SUM(1+1)",
)
UNPRINTABLE = {
    "abc\u202edef": "abc[U+202E]def",
    "left\u2066right\u2069": "left[U+2066]right[U+2069]",
    "bell\x07null\x00esc\x1b[31m": "bell[U+0007]null[U+0000]esc[U+001B][31m",
    "zero\u200bwidth": "zero[U+200B]width",
    "tag\U000e0041": "tag[U+E0041]",
    "lone\ud800surrogate": "lone[U+D800]surrogate",
    "line\u2028end": "line[U+2028]end",
}
"""A text, and how it appears."""
OTHER_SCRIPTS = ("שלום עולם", "مرحبا بالعالم", "日本製", "Здравствуй")
