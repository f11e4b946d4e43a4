"""What a guided look asks for: how much it is worth, and what is asked together."""

from __future__ import annotations

from markrules.frozen import dataclass
from markrules.language.conditions import Condition
from markrules.language.entries.citing import Cite
from markrules.language.spans import Named, Span, its_span


@dataclass(frozen=True, slots=True)
class Asking:
    """What asking about features is worth, given what is known: of pieces on which `when` holds.

    `share` is the chance that a look shows anything at all, `answered` that a beginner can answer.
    A figure left out says nothing. Without `when` an entry holds of all pieces; an entry with one
    that holds goes before those without. Of several of the same kind the least of each counts.
    """

    name: str
    of: tuple[Named, ...]
    share: float | None = None
    answered: float | None = None
    when: Condition | None = None
    why: str = ""
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Answers:
    """Answers that a question offers together, under the words `say`, before each by itself.

    `when` names the feature and the values: `hallmark-mark is one of lion-passant, leopard-head`.
    """

    name: str
    say: str
    when: Condition
    why: str = ""
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Together:
    """Features that a guided look asks for at once, in this order, under the words `ask`."""

    name: str
    ask: str
    of: tuple[Named, ...]
    look: str = ""
    why: str = ""
    span: Span = its_span()
