"""What became of every word of a segment: what it was read as, or that it was not understood."""

from __future__ import annotations

from collections.abc import Sequence
from collections.abc import Set as AbstractSet

from markrules.frozen import dataclass
from markrules.knowledge.observation import Observation
from markrules.language.roles import DAMAGE_ROLES
from markrules.notes.damage_told import Damaged
from markrules.notes.items import LINKS, Item
from markrules.notes.leftover import known_tokens
from markrules.notes.marktext import WrittenTexts
from markrules.notes.matching import Matched
from markrules.notes.saying import Lot, Open, OpenFault, Portion, Unread
from markrules.notes.tokens import Tokens

_AIDS = (
    "false",
    "likeness",
    "imitates",
    "coat",
    "negation",
    "after-negation",
    "told",
    "count",
    "mark",
    "mark-noun",
    "label",
    "made-by",
)
_STORY = ("story", "story-end", "story-noun", "set-aside")
_NEUTRAL = ("filler", "describing", "break", "times", "thing", "absent", *_STORY, *_AIDS, *LINKS)
_NO_NAME: frozenset[str] = frozenset()


@dataclass(slots=True)
class Account:
    """The fate of each token of a segment: what it is part of, and whether it was understood.

    `piece` are the piece types that the token's phrase names.
    """

    order: list[set[int]]
    piece: list[frozenset[str]]
    unknown: list[bool]
    quiet: list[bool]

    def portions(self, tokens: Tokens, little: AbstractSet[str]) -> tuple[Portion, ...]:
        """Neighbouring tokens of one fate together; little words inside one thing go with it."""
        fates = [
            (frozenset(self.order[at]), self.piece[at], self.unknown[at])
            for at in range(len(tokens))
        ]
        neutral = (frozenset[int](), _NO_NAME, False)
        portions: list[Portion] = []
        begin = 0
        while begin < len(fates):
            end, last = begin + 1, begin + 1
            while end < len(fates) and fates[end] in (fates[begin], neutral):
                end += 1
                if fates[end - 1] == fates[begin]:
                    last = end
            order, piece, unknown = fates[begin]
            lot: Lot = "said" if order or piece else "unknown" if unknown else "neutral"
            last = (
                begin + 1
                if lot == "unknown" and last > begin + 1 and not all(self.unknown[begin:last])
                else last
            )
            portions.append(
                Portion(
                    tokens.slice(begin, last),
                    lot,
                    tuple(sorted(order)),
                    piece,
                    all(self.quiet[begin:last]),
                    lot == "neutral" and little >= set(tokens.folded[begin:last]),
                    begin,
                    last,
                )
            )
            begin = last
        return tuple(portions)


def account_of(
    tokens: Tokens,
    matched: Matched,
    written: WrittenTexts,
    order: Sequence[Observation | Open | OpenFault | Unread],
    made: dict[int, list[int]],
    damaged: Sequence[Damaged],
    text_features: AbstractSet[str],
) -> Account:
    """What each token of a segment is part of.

    `made` gives, by the first token of an item, the places in `order` that it made;
    `text_features` are the features whose values are texts.
    """
    count = len(tokens)
    account = Account(
        [set() for _ in range(count)], [_NO_NAME] * count, [False] * count, [False] * count
    )
    for index, known in enumerate(known_tokens(tokens, matched, written)):
        account.unknown[index] = not known
    texts = [
        at
        for at, each in enumerate(order)
        if isinstance(each, Observation)
        and each.feature in text_features
        and each.state != "absent"
    ]
    for index in written.claimed:
        raw = tokens.raw(index).strip("\"'“”‘’")
        holding = [at for at in texts if raw in _value(order[at])]
        account.order[index].update(holding or texts)
    things = {each.thing.first: each.item.first for each in damaged if each.thing is not None}
    for item in matched.items:
        if item.first in written.claimed and item.years is None:
            continue
        places = set(made.get(item.first, ()))
        if item.first in things:
            places.update(
                at for at in made.get(things[item.first], ()) if isinstance(order[at], OpenFault)
            )
        places.update(_measured(tokens, item, order))
        places.update(_named(item, order))
        if not places and item.role("mark", "mark-noun", "label"):
            of_marks = [at for at in texts if _is_of_marks(order[at])]
            places.update(of_marks or texts)
        if not places and (item.means("certainty") or item.role(*_AIDS)):
            places.update(_shaped(item, made, order))
        for index in range(item.first, item.end):
            account.order[index].update(places)
            account.quiet[index] = item.role(*_NEUTRAL) or item.means("feature")
            account.piece[index] = _named_pieces(item)
            if not places and _lost(item):
                account.unknown[index] = True
    _count_with_what_is_counted(matched, account)
    for index in range(count - 2, -1, -1):
        if tokens.numeric[index] and not account.order[index] and not account.unknown[index]:
            account.order[index].update(account.order[index + 1])
    return account


def _count_with_what_is_counted(matched: Matched, account: Account) -> None:
    """`Pair of clip earrings` is told as one: a count is of the piece that stands behind it."""
    for item in matched.items:
        end = item.end
        if not item.role("count") or end >= len(account.order):
            continue
        if account.order[end] == account.order[item.first]:
            for index in range(item.first, end):
                account.piece[index] = account.piece[index] or account.piece[end]


def _is_of_marks(each: Observation | Open | OpenFault | Unread) -> bool:
    return isinstance(each, Observation) and each.feature in ("mark", "label")


def _value(each: Observation | Open | OpenFault | Unread) -> str:
    return each.value if isinstance(each, Observation) else ""


def _measured(
    tokens: Tokens, item: Item, order: Sequence[Observation | Open | OpenFault | Unread]
) -> list[int]:
    """The places of the measures or years that an item gave."""
    if item.measure is not None:
        words = tokens.slice(item.first, item.end)
        return [
            at
            for at, each in enumerate(order)
            if isinstance(each, Observation)
            and each.number is not None
            and each.words.startswith(words)
        ]
    if item.years is not None:
        first = float(item.years.first)
        return [
            at
            for at, each in enumerate(order)
            if isinstance(each, Observation) and each.years and each.number == first
        ]
    if not item.senses:
        words = tokens.slice(item.first, item.end)
        return [
            at
            for at, each in enumerate(order)
            if isinstance(each, Observation)
            and (each.heard or each.assumed)
            and each.words == words
        ]
    return []


def _named(item: Item, order: Sequence[Observation | Open | OpenFault | Unread]) -> list[int]:
    """The places of what was seen of a feature that an item names."""
    if "feature" not in item.meaning.kinds:
        return []
    names = {sense.name for sense in item.senses if sense.kind == "feature"}
    return [
        at
        for at, each in enumerate(order)
        if (isinstance(each, Observation) and each.feature in names)
        or (isinstance(each, Open) and any(name in names for name, _ in each.choices))
    ]


def _shaped(
    item: Item, made: dict[int, list[int]], order: Sequence[Observation | Open | OpenFault | Unread]
) -> list[int]:
    """What a hedge, a denial or a count tells of: what the next item made, or else all."""
    following = sorted(first for first, places in made.items() if first >= item.end and places)
    if item.role("negation", "count", "false") and following:
        return made[following[0]]
    return list(range(len(order))) if item.means("certainty") or item.role("told") else []


def _named_pieces(item: Item) -> frozenset[str]:
    if not item.means("piece") or item.role("filler"):
        return _NO_NAME
    return frozenset(sense.name for sense in item.senses if sense.kind == "piece")


def _lost(item: Item) -> bool:
    """Whether an item that made nothing may hide something: it is neutral in no sense."""
    if item.role(*_NEUTRAL) or not item.meaning.kinds.isdisjoint(("feature", "piece", "certainty")):
        return False
    return item.role("lost-letters", *DAMAGE_ROLES) or item.means("unit")
