"""Texts that try to become markup, a script or a formula, or to turn writing about.

After the OWASP Cross Site Scripting Prevention Cheat Sheet and the contexts of HTML (WHATWG,
13.2): element content, quoted and bare attributes, addresses, comments, raw text, SVG; beside
them control characters and the directional overrides of Unicode (UAX 9).
"""

ATTACKS = (
    "<script>document.title='taken'</script>",
    "\"><script>document.title='taken'</script>",
    "'><img src=x onerror=document.title='taken'>",
    "<svg onload=document.title='taken'>",
    "\" autofocus onfocus=\"document.title='taken'",
    "</textarea><script>document.title='taken'</script>",
    "</title></style><script>document.title='taken'</script>",
    "<!--<script>--><script>document.title='taken'</script>",
    "javascript:document.title='taken'",
    "{{ 7 * 191 }}{% raw %}",
    "<a href=javascript:document.title='taken'>brooch</a>",
    '=HYPERLINK("http://192.0.2.1/","x")',
    "\u202egnp.eciffo\u202c \u2066x",
    "a\x00b\x1b[31mred\x07",
    "&lt;b&gt;&#60;i&#62;",
    "<iframe srcdoc='<script>parent.document.title=1</script>'>",
)
