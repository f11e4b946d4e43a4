"""Listed makers' names among the words of a note, before these are taken for what they mean."""

from __future__ import annotations

from markrules.late import late
from markrules.notes.folding import plain
from markrules.notes.senses import Meaning
from markrules.notes.tokens import Tokens, tokens_of
from markrules.notes.vocabulary import Vocabulary


def listed_names(vocabulary: Vocabulary, tokens: Tokens) -> dict[int, int]:
    """Where listed makers' names of several words begin and end: a Running Bear pin.

    They are in capitals, or in small letters right behind a word that names follow, `signed running
    bear`, or with a word that is nothing else: `line vautrin`. A phrase of the rules that holds the
    whole name goes before it. A name of one word is one right behind such a word, in capitals,
    whatever it means elsewhere: `by Sphinx`. So is any other word in capitals behind `by` that only
    describes elsewhere, `by Best`, and the first word of a listed text that another word folds to:
    `Wells`, which is no `well`.
    """
    names: dict[int, int] = {}
    index = 0
    while index < len(tokens):
        led = index > 0 and _led(vocabulary, tokens, index)
        end = 0
        end = _listed_name(vocabulary, tokens, index, led)
        if led and not end and _alone_in_capitals(vocabulary, tokens, index):
            end = 0 if _ends_a_phrase(vocabulary, tokens, index) else index + 1
        if not end and _folded_from_a_name(vocabulary, tokens, index):
            end = index + 1
        if end:
            names[index] = end
        index = max(index + 1, end)
    return names


def _led(vocabulary: Vocabulary, tokens: Tokens, index: int) -> bool:
    """Whether words that a name stands behind end right before a token."""
    return any(
        tokens.folded[max(0, index - len(words)) : index] == words
        for words in vocabulary.before_names.get(tokens.folded[index - 1], ())
    )


def _alone_in_capitals(vocabulary: Vocabulary, tokens: Tokens, index: int) -> bool:
    """Whether a word in capitals is all of a listed maker's name, or one behind `by` that else only
    describes, and goes on in no other: `by Star`, not `by Star Lake`.
    """
    if not tokens.raw(index)[0].isupper():
        return False
    if not is_a_name(vocabulary, tokens, index) and not _only_describes(vocabulary, tokens, index):
        return False
    following = index + 1
    goes_on = following < len(tokens) and tokens.raw(following)[0].isupper()
    between = tokens.text[tokens.ends[index] : tokens.starts[following]] if goes_on else ""
    return not goes_on or bool(between.strip())


def _only_describes(vocabulary: Vocabulary, tokens: Tokens, index: int) -> bool:
    """Whether a word behind `by`, as written, stands elsewhere beside what is told: `by Best`. A
    word in the plural is none of those that describe: `by Woods`.
    """
    by = vocabulary.words.first(tokens.folded[index - 1])
    found = vocabulary.words.longest(tokens.folded, tokens.numeric, index)
    if by is None or "made-by" not in by.meaning.roles or found is None or found[0] > index + 1:
        return False
    if len(tokens.raw(index)) < LEAST_OF_PLAIN or tokens.raw(index)[1:] != tokens.folded[index][1:]:
        return len(tokens.raw(index)) > LEAST_OF_PLAIN
    meaning = found[1]
    values = [vocabulary.base.features[s.name] for s in meaning.senses if s.kind == "value"]
    words = not meaning.kinds - {"role", "value"} and meaning.roles <= {"filler", "describing"}
    return words and all(each.describes for each in values)


def _folded_from_a_name(vocabulary: Vocabulary, tokens: Tokens, index: int) -> bool:
    """Whether a word in capitals begins, to the letter, what a listed maker is called or struck,
    and only its fold, one letter shorter, is a word that tells nothing.
    """
    raw = tokens.raw(index)
    if not raw[0].isupper() or plain(raw) == tokens.folded[index] or "'" in raw or "’" in raw:
        return False
    known = vocabulary.words.longest(tokens.folded, tokens.numeric, index)
    if known is None or known[0] > index + 1 or known[1].kinds != {"role"}:
        return False
    return plain(raw) in vocabulary.first_words_in_s


LEAST_OF_PLAIN = 4
"""Letters of a word that is taken for a name behind `by`, whatever it means elsewhere."""


def _ends_a_phrase(vocabulary: Vocabulary, tokens: Tokens, index: int) -> bool:
    """Whether the word before ends a longer phrase behind which no name stands: `worn by`."""
    for start in range(max(0, index - 3), index - 1):
        found = vocabulary.words.longest(tokens.folded, tokens.numeric, start)
        phrase = tokens.folded[start:index]
        if found is not None and found[0] == index:
            return phrase not in vocabulary.before_names.get(phrase[-1], ())
    return False


LEAST_OF_INITIALS = 5
"""Letters of a name of which all words but one are initials: `O. F. Novak`."""


def _listed_name(vocabulary: Vocabulary, tokens: Tokens, index: int, led: bool) -> int:
    """The end of a name of several words that begins here; 0 where none does. `led`: a word such
    as `signed` stands right before it.
    """
    found = vocabulary.texts.longest(tokens.folded, tokens.numeric, index)
    if found is None or found[0] < index + 2 or "maker" not in found[1].kinds:
        return 0
    end = found[0]
    words = [tokens.raw(at) for at in range(index, end)]
    small = vocabulary.little
    alike = all(word[0].islower() for word in words)
    led = led or (alike and _told_by_a_word(vocabulary, tokens, index, end))
    if not led and any(
        word[0].islower() and tokens.folded[at] not in small for at, word in enumerate(words, index)
    ):
        return 0
    begun = [word for word in words if led or not word[0].islower()]
    of_letters = sum(map(len, begun)) >= LEAST_OF_INITIALS
    if sum(len(word) > 1 for word in begun) < 2 and not (len(begun) > 1 and of_letters):
        return 0
    known = vocabulary.words.longest(tokens.folded, tokens.numeric, index)
    return 0 if known is not None and known[0] >= end else end


def _told_by_a_word(vocabulary: Vocabulary, tokens: Tokens, index: int, end: int) -> bool:
    """Whether one word of a name in small letters is no word of the rules, and too long to be met
    by chance: `line vautrin`, not `hand hammer`.
    """
    return any(
        len(tokens.folded[at]) >= LEAST_OF_PLAIN
        and vocabulary.words.longest(tokens.folded, tokens.numeric, at) is None
        for at in range(index, end)
    )


def whole_names(vocabulary: Vocabulary, note: str) -> list[tuple[int, int]]:
    """Where in a note listed makers' names stand that hold a comma or a full stop, which parts
    nothing: `Novak, Dorsch & Co.`
    """
    if "," not in note and "." not in note:
        return []
    tokens = tokens_of(note, vocabulary.folding)
    places: list[tuple[int, int]] = []
    for index, fold in enumerate(tokens.folded):
        for words in vocabulary.parted_names.get(fold, ()):
            end = index + len(words)
            if tokens.folded[index:end] == words and _PARTED.search(tokens.slice(index, end)):
                places.append((tokens.starts[index], tokens.ends[end - 1]))
    return places


_PARTED = late(r"\w(?:\.? ?,|\.) ?[\w&]")
"""A comma or full stop within a name."""


def names_a_maker(
    vocabulary: Vocabulary, tokens: Tokens, index: int, meant: str, shouting: bool
) -> bool:
    """Whether a word is a listed maker's name as it stands, and no slip for what was meant.

    A text that the maker only struck is none, as it may be a place: Brighton. In small letters it
    is one only where the word it could stand for says nothing.
    """
    found = vocabulary.texts.longest(tokens.folded, tokens.numeric, index)
    if found is None or not _in_a_name(vocabulary, found[1], tokens.folded[index]):
        return False
    if not shouting and tokens.raw(index)[:1].isupper():
        return True
    node = vocabulary.words.first(meant)
    return node is None or node.meaning.kinds <= {"role"}


def is_a_name(vocabulary: Vocabulary, tokens: Tokens, index: int) -> bool:
    """Whether a word is all of a listed maker's name."""
    found = vocabulary.texts.longest(tokens.folded, tokens.numeric, index)
    named = found is not None and found[0] == index + 1
    return named and found is not None and _in_a_name(vocabulary, found[1], tokens.folded[index])


def _in_a_name(vocabulary: Vocabulary, meaning: Meaning, fold: str) -> bool:
    """Whether one of the makers of a text is called by it."""
    makers = (vocabulary.base.makers[each.name] for each in meaning.senses if each.kind == "maker")
    names = (text for maker in makers for text in (maker.title.partition(" (")[0], *maker.also))
    return any(vocabulary.folding[name] == fold for name in names)
