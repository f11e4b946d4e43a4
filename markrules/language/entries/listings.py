"""What a listing may say: claims, and what bears them."""

from __future__ import annotations

from markrules.frozen import dataclass
from markrules.language.conditions import Condition
from markrules.language.entries.citing import Cite
from markrules.language.spans import Named, Span, its_span
from markrules.language.windows import Window

CLAIM_SUBJECTS = (
    "words",  # the phrases in `words`
    "maker",  # the name of any maker in the rules
    "years",  # any year, decade or span of years
    "mark",  # the name of any maker, said to stand on the piece
    "karat",  # a number of 24ths: a fineness on record must be that one
    "ago",  # a number of years since it was made
    "seen",  # what the words name, if it is on record as seen
    "measure",  # a measure that is not the one on record; nothing where none is
)


@dataclass(frozen=True, slots=True)
class Claim:
    """Words of a listing that say more than was seen, unless the evidence bears them.

    `words` are the phrases that make the claim, `fine` longer phrases in which they make
    none. `about` is one of CLAIM_SUBJECTS. Where `figures` stands, numbers beyond these two claim
    nothing. The claim is borne where `unless` holds, where the piece is at least `age` years
    old, or where it was made within `made`; with none of these it never is. Where `when` stands
    and does not hold, nothing is said of it. `beside` names claims: where the text makes one of
    them that is borne, this one is as well; where `recorded` stands, so is one that the note on
    record makes too. `say` is the reason and `instead` better words;
    without any, the words are left out.
    """

    name: str
    words: tuple[str, ...] = ()
    fine: tuple[str, ...] = ()
    about: str = "words"
    figures: tuple[float, float] | None = None
    when: Condition | None = None
    unless: Condition | None = None
    beside: tuple[Named, ...] = ()
    recorded: bool = False
    age: int | None = None
    made: Window | None = None
    law: str = ""
    say: str = ""
    instead: str = ""
    note: str = ""
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()
