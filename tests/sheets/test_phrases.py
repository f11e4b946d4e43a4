"""Phrases in a text: folding, places, numbers and names, and what parts two words."""

from __future__ import annotations

from claims_base import claims_base
from together import every_case

from markrules.sheets.phrases import (
    Folder,
    FoundPhrase,
    PhrasesOfOwners,
    TextToken,
    joined,
    singular,
)

FOLDER = Folder(claims_base())


@every_case(
    ("word", "one"),
    [
        ("gas", "gas"),
        ("gems", "gem"),
        ("tie", "tie"),
        ("ties", "ty"),
        ("berries", "berry"),
        ("boss", "boss"),
        ("iris", "iris"),
        ("focus", "focus"),
        ("pearl", "pearl"),
    ],
)
def test_singular(word: str, one: str) -> None:
    assert singular(word) == one


@every_case(
    ("word", "key"),
    [
        ("gray", "grey"),
        ("grays", "grey"),
        ("grey", "grey"),
        ("colors", "colour"),
        ("stones", "stone"),
        ("stone", "stone"),
    ],
)
def test_spellings_and_plurals_meet_in_one_key(word: str, key: str) -> None:
    assert FOLDER.key(word) == key


@every_case(
    ("text", "tokens"),
    [
        ("", []),
        ("Gold", [TextToken("gold", 0, 4, True)]),
        ("a gOld", [TextToken("a", 0, 1, False), TextToken("gold", 2, 6, False)]),
        ("14k", [TextToken("14", 0, 2, False), TextToken("k", 2, 3, False)]),
        ("1/20", [TextToken("1/20", 0, 4, False)]),
        ("1.5,2", [TextToken("1.5,2", 0, 5, False)]),
        ("3.", [TextToken("3", 0, 1, False)]),
        ("red_ruby", [TextToken("red", 0, 3, False), TextToken("ruby", 4, 8, False)]),
        ("É", [TextToken("e", 0, 1, True)]),
        ("e\u0301té", [TextToken("ete", 0, 4, False)]),
        ("go\u00adld x", [TextToken("gold", 0, 5, False), TextToken("x", 6, 7, False)]),
        ("ﬁne", [TextToken("fine", 0, 3, False)]),
        ("xﬁ y", [TextToken("xfi", 0, 2, False), TextToken("y", 3, 4, False)]),
        ("ß s", [TextToken("ss", 0, 1, False), TextToken("s", 2, 3, False)]),
    ],
)
def test_tokens_stand_where_they_stand_in_the_text_as_written(
    text: str, tokens: list[TextToken]
) -> None:
    assert FOLDER.tokens(text) == tokens


@every_case(
    ("text", "keys"),
    [
        ("#k Golds", ("#", "k", "gold")),
        ("by *", ("by", "*")),
        ("1/20 12K", ("1", "20", "12", "k")),
        ("crème", ("creme",)),
        ("...", ()),
    ],
)
def test_a_phrase_of_the_rules_as_keys(text: str, keys: tuple[str, ...]) -> None:
    assert FOLDER.phrase(text.casefold()) == keys


@every_case(
    ("gap", "one"),
    [
        (" ", True),
        ("  ", True),
        ("\t", True),
        (" \n ", True),
        ("\n\n", False),
        ("-", True),
        (" – ", True),
        ("—", True),
        ("'", True),
        (' "', True),
        ("_", True),
        ("/", True),
        (" + ", True),
        (" $", True),
        ("--", False),
        (",", False),
        (";", False),
        (":", False),
        ("!", False),
        (" (", False),
        (".", False),
        (". ", False),
        ("\u200b ", True),
        (" \u200d\u0301 ", True),
        ("\u200b,", False),
    ],
)
def test_what_stands_between_two_words_of_one_phrase(gap: str, one: bool) -> None:
    text = f"gold{gap}ring"
    assert joined(text, FOLDER.tokens(text), 1) is one


@every_case(("before", "one"), [("k", True), ("ct", True), ("car", False), ("gold", False)])
def test_a_dot_after_one_or_two_letters_abbreviates(before: str, one: bool) -> None:
    text = f"a {before}. ring"
    assert joined(text, FOLDER.tokens(text), 2) is one


NAMES = {
    ("quell",): "quell",
    ("quell", "son"): "quells",
    ("amber",): "amber",
    ("quell", "und", "son"): "und",
}
KEYS = [
    (("solid", "gold"), 1),
    (("solid",), 2),
    (("gold",), 3),
    (("#", "k"), 4),
    (("k", "#"), 5),
    (("by", "*"), 6),
    (("*",), 7),
    (("#", "to", "#"), 8),
    (("*", "style"), 9),
    (("solid", "gold", "#"), 10),
    ((), 11),
    (("solid", "gold", "ring"), 12),
    (("very", "#", "k"), 13),
    (("a", "*", "of", "#"), 14),
]
PHRASES = PhrasesOfOwners(KEYS, NAMES, frozenset(("amber",)))


@every_case(
    ("text", "found"),
    [
        ("", []),
        ("gold", [(3, FoundPhrase(0, 1))]),
        ("old gold", [(3, FoundPhrase(1, 2))]),
        ("solid, gold", [(2, FoundPhrase(0, 1)), (3, FoundPhrase(1, 2))]),
        ("solid", [(2, FoundPhrase(0, 1))]),
        ("solid gold", [(1, FoundPhrase(0, 2)), (2, FoundPhrase(0, 1)), (3, FoundPhrase(1, 2))]),
        (
            "solid gold 14",
            [
                (1, FoundPhrase(0, 2)),
                (2, FoundPhrase(0, 1)),
                (10, FoundPhrase(0, 3, ("14",))),
                (3, FoundPhrase(1, 2)),
            ],
        ),
        (
            "solid gold ring",
            [
                (1, FoundPhrase(0, 2)),
                (2, FoundPhrase(0, 1)),
                (12, FoundPhrase(0, 3)),
                (3, FoundPhrase(1, 2)),
            ],
        ),
        (
            "a b c solid gold ring",
            [
                (1, FoundPhrase(3, 5)),
                (2, FoundPhrase(3, 4)),
                (12, FoundPhrase(3, 6)),
                (3, FoundPhrase(4, 5)),
            ],
        ),
        (
            "a b c solid gold",
            [(1, FoundPhrase(3, 5)), (2, FoundPhrase(3, 4)), (3, FoundPhrase(4, 5))],
        ),
        (
            "solid gold, ring",
            [(1, FoundPhrase(0, 2)), (2, FoundPhrase(0, 1)), (3, FoundPhrase(1, 2))],
        ),
        ("14k", [(4, FoundPhrase(0, 2, ("14",)))]),
        ("14, k", []),
        ("k 14", [(5, FoundPhrase(0, 2, ("14",)))]),
        ("very 14 k", [(13, FoundPhrase(0, 3, ("14",))), (4, FoundPhrase(1, 3, ("14",)))]),
        ("1920 to 1930", [(8, FoundPhrase(0, 3, ("1920", "1930")))]),
        ("1920 to", []),
        ("1920 to x", []),
        ("by Quell", [(6, FoundPhrase(0, 2, (), "quell")), (7, FoundPhrase(1, 2, (), "quell"))]),
        ("by quell", []),
        (
            "Quell Sons",
            [(7, FoundPhrase(0, 1, (), "quell")), (7, FoundPhrase(0, 2, (), "quells"))],
        ),
        ("quell sons", [(7, FoundPhrase(0, 2, (), "quells"))]),
        ("quell, sons", []),
        ("Quell, sons", [(7, FoundPhrase(0, 1, (), "quell"))]),
        (
            "Quell, Sons",
            [(7, FoundPhrase(0, 1, (), "quell")), (7, FoundPhrase(0, 2, (), "quells"))],
        ),
        ("quell & sons", [(7, FoundPhrase(0, 2, (), "quells"))]),
        ("quell\nsons", [(7, FoundPhrase(0, 2, (), "quells"))]),
        ("quell\n\nsons", []),
        ("quell ........ sons", []),
        ("quell.... . sons", [(7, FoundPhrase(0, 2, (), "quells"))]),
        ("Amber", []),
        ("by Amber", [(6, FoundPhrase(0, 2, (), "amber"))]),
        ("by amber", []),
        ("Amber style", [(9, FoundPhrase(0, 2, (), "amber"))]),
        (
            "a Quell of 1900",
            [(14, FoundPhrase(0, 4, ("1900",), "quell")), (7, FoundPhrase(1, 2, (), "quell"))],
        ),
        ("a Quell of", [(7, FoundPhrase(1, 2, (), "quell"))]),
        ("a. quell", []),
    ],
)
def test_every_phrase_is_found_at_every_place(
    text: str, found: list[tuple[int, FoundPhrase]]
) -> None:
    assert list(PHRASES.find(text, FOLDER.tokens(text))) == found


def test_phrases_of_one_word_come_in_the_order_of_the_rules() -> None:
    """Those of two known words and the others are kept apart, and told as if they were not."""
    both = PhrasesOfOwners(
        [(("gold", "#"), 1), (("gold", "ring"), 2), (("gold",), 3), (("gold", "ring"), 4)],
        {},
        frozenset(),
    )
    text = "gold ring"
    assert [owner for owner, _ in both.find(text, FOLDER.tokens(text))] == [2, 3, 4]
