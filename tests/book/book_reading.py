"""Reads pages of the book back, by a parser that knows nothing of how they were made."""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser


@dataclass
class Seen(HTMLParser):
    """What stands on a page: anchors, links, scripts, other addresses, attributes, text."""

    anchors: list[str] = field(default_factory=list)
    links: list[str] = field(default_factory=list)
    loaded: list[tuple[str, str]] = field(default_factory=list)
    scripts: list[dict[str, str]] = field(default_factory=list)
    attributes: set[str] = field(default_factory=set)
    elements: set[str] = field(default_factory=set)
    texts: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        super().__init__(convert_charrefs=True)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        self.elements.add(tag)
        self.attributes |= set(given)
        if "id" in given:
            self.anchors.append(given["id"])
        if tag == "a" and "href" in given:
            self.links.append(given["href"])
        if tag == "script":
            self.scripts.append(given)
        if tag != "a":
            self.loaded += [
                (tag, given[each]) for each in ("src", "href", "action", "data") if each in given
            ]

    def handle_data(self, data: str) -> None:
        self.texts.append(data)


def seen_in(text: str) -> Seen:
    """What stands on a page with this text."""
    page = Seen()
    page.feed(text)
    return page
